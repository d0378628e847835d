//! The places of a text where values go: `{}`, `{1}`, `{name}`, `{name:.2}`, `{:>width$}`.

/// A text whose places all have names: the first without a name is `value_0`, and so on.
pub(crate) struct Placeholders {
    /// The text with the names in it.
    pub text: String,
    names: Vec<String>,
}

/// What a place without a name is called.
const NUMBERED: &str = "value_";

/// Which value a name made of a number stands for.
pub(crate) fn index(name: &str) -> Option<usize> {
    name.strip_prefix(NUMBERED)?.parse().ok()
}

/// A text without values: two braces are one.
pub(crate) fn plain(text: &str) -> String {
    text.replace("{{", "{").replace("}}", "}")
}

fn called(name: &str) -> String {
    if name.bytes().all(|b| b.is_ascii_digit()) {
        format!("{NUMBERED}{name}")
    } else {
        name.to_owned()
    }
}

impl Placeholders {
    /// Of a text as `format!` takes it.
    pub fn of(text: &str) -> Self {
        let (mut out, mut names, mut next) = (String::new(), Vec::new(), 0);
        let mut rest = text;
        while let Some(at) = rest.find(['{', '}']) {
            let (before, behind) = rest.split_at(at);
            out.push_str(before);
            let brace = &behind[..1];
            if behind[1..].starts_with(brace) {
                out.push_str(&behind[..2]);
                rest = &behind[2..];
                continue;
            }
            let Some(end) = behind.find('}').filter(|_| brace == "{") else {
                out.push_str(brace);
                rest = &behind[1..];
                continue;
            };
            let (name, spec) = match behind[1..end].split_once(':') {
                Some((name, spec)) => (name, format!(":{}", widths(spec, &mut names))),
                None => (&behind[1..end], String::new()),
            };
            let name = if name.trim().is_empty() {
                next += 1;
                called(&(next - 1).to_string())
            } else {
                called(name.trim())
            };
            out.push_str(&format!("{{{name}{spec}}}"));
            names.push(name);
            rest = &behind[end + 1..];
        }
        out.push_str(rest);
        Self { text: out, names }
    }

    /// Whether no value goes into it.
    pub fn is_empty(&self) -> bool {
        self.names.is_empty()
    }

    /// The names in their order, some perhaps twice.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.names.iter().map(String::as_str)
    }
}

/// A format such as `>width$.2`: the values that stand for a width or a number of digits have names, too.
fn widths(spec: &str, names: &mut Vec<String>) -> String {
    let mut out = String::new();
    let mut rest = spec;
    while let Some(dollar) = rest.find('$') {
        let start = rest[..dollar]
            .rfind(|c: char| !c.is_alphanumeric() && c != '_')
            .map_or(0, |i| {
                i + rest[i..].chars().next().map_or(1, char::len_utf8)
            });
        let name = called(&rest[start..dollar]);
        out.push_str(&rest[..start]);
        out.push_str(&name);
        out.push('$');
        names.push(name);
        rest = &rest[dollar + 1..];
    }
    out.push_str(rest);
    out
}
