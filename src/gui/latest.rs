//! The latest answer of a thread to a question that goes on changing.

/// What was asked last, and what came back.
pub struct Latest<K, A> {
    asked: Option<K>,
    number: u64,
    answer: Option<(K, A)>,
}

impl<K, A> Default for Latest<K, A> {
    fn default() -> Self {
        Self {
            asked: None,
            number: 0,
            answer: None,
        }
    }
}

impl<K: PartialEq + Copy, A> Latest<K, A> {
    /// The last answer with its question, be it overtaken or not.
    pub fn last(&self) -> Option<(&K, &A)> {
        self.answer.as_ref().map(|(k, a)| (k, a))
    }
    /// Whether the last answer is to this question.
    pub fn is_to(&self, question: K) -> bool {
        self.answer.as_ref().is_some_and(|a| a.0 == question)
    }
    /// The number of the request, unless the same was asked last.
    pub fn ask(&mut self, question: K) -> Option<u64> {
        if self.asked == Some(question) {
            return None;
        }
        self.asked = Some(question);
        self.number += 1;
        Some(self.number)
    }
    /// Takes an answer; one that was overtaken is dropped.
    pub fn take(&mut self, number: u64, answer: A) {
        if let Some(question) = self.asked.filter(|_| number == self.number) {
            self.answer = Some((question, answer));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_overtaken_answer_is_dropped_and_nothing_is_asked_twice() {
        let mut latest: Latest<u8, &str> = Latest::default();
        let first = latest.ask(1).expect("it is new");
        assert_eq!(latest.ask(1), None);
        let second = latest.ask(2).expect("it is new");
        latest.take(first, "one");
        assert_eq!(latest.last(), None);
        latest.take(second, "two");
        assert_eq!(latest.last(), Some((&2, &"two")));
        assert!(latest.is_to(2) && !latest.is_to(1));
    }
}
