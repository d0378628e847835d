//! Changes in a TOML text that a person may have written: key by key, so that comments, order and everything that is
//! not changed stay as they are.

use toml_edit::{DocumentMut, Item, Table, TableLike, Value};

/// A changed text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Changed {
    /// The whole of it.
    pub text: String,
    /// Keys at which the text held a third value, neither the one before nor the one after: somebody else had
    /// changed it, and this change came later.
    pub overruled: Vec<String>,
}

/// What makes `to` of `from`, done to `text`. `id_of` gives the key that names the entries of a list of tables; a list
/// without one is changed as a whole.
///
/// `None` where one of them is no TOML, or `text` holds something else under a name than tables and lists of tables
/// as the other two do: then it cannot be changed piece by piece.
pub fn carry_over(
    text: &str,
    from: &str,
    to: &str,
    id_of: &dyn Fn(&str) -> Option<&'static str>,
) -> Option<Changed> {
    let mut doc: DocumentMut = text.parse().ok()?;
    let (from, to): (DocumentMut, DocumentMut) = (from.parse().ok()?, to.parse().ok()?);
    let mut overruled = Vec::new();
    let root = doc.as_table_mut();
    for key in keys(from.as_table(), to.as_table()) {
        let (a, b) = (from.get(&key), to.get(&key));
        if same(a, b) {
            continue;
        }
        let is = |check: fn(&Item) -> bool| [a, b].into_iter().flatten().any(check);
        if is(Item::is_array_of_tables) {
            if let Some(id) = id_of(&key) {
                entries(root, &key, id, (a, b), &mut overruled)?;
            } else {
                replace_list(root, &key, a, b, &mut overruled);
            }
        } else if is(Item::is_table) {
            let table = root.entry(&key).or_insert_with(toml_edit::table);
            let table = table.as_table_like_mut()?;
            change_table(table, &key, table_of(a), table_of(b), &mut overruled);
            if table.is_empty() {
                root.remove(&key);
            }
        } else {
            set(root, &key, &key, a, b, &mut overruled);
        }
    }
    Some(Changed {
        text: doc.to_string(),
        overruled,
    })
}

fn keys(a: &dyn TableLike, b: &dyn TableLike) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for (key, _) in a.iter().chain(b.iter()) {
        if !out.iter().any(|k| k == key) {
            out.push(key.to_owned());
        }
    }
    out
}

fn table_of(item: Option<&Item>) -> Option<&dyn TableLike> {
    item.and_then(Item::as_table_like)
}

fn change_table(
    there: &mut dyn TableLike,
    name: &str,
    a: Option<&dyn TableLike>,
    b: Option<&dyn TableLike>,
    overruled: &mut Vec<String>,
) {
    let empty = Table::new();
    let (a, b) = (a.unwrap_or(&empty), b.unwrap_or(&empty));
    for key in keys(a, b) {
        let path = format!("{name}.{key}");
        set(there, &key, &path, a.get(&key), b.get(&key), overruled);
    }
}

fn set(
    there: &mut dyn TableLike,
    key: &str,
    path: &str,
    a: Option<&Item>,
    b: Option<&Item>,
    overruled: &mut Vec<String>,
) {
    if same(a, b) {
        return;
    }
    let now = there.get(key);
    if now.is_some() && !same(now, a) && !same(now, b) {
        overruled.push(path.to_owned());
    }
    let Some(b) = b else {
        there.remove(key);
        return;
    };
    match there.get_mut(key) {
        Some(now) => {
            let mut new = b.clone();
            // The remark behind a value stays with its key.
            if let (Some(old), Some(new)) = (now.as_value(), new.as_value_mut()) {
                *new.decor_mut() = old.decor().clone();
            }
            *now = new;
        }
        None => {
            there.insert(key, b.clone());
        }
    }
}

/// The entries of a list of tables, each by its name.
fn entries(
    root: &mut Table,
    key: &str,
    id: &str,
    (a, b): (Option<&Item>, Option<&Item>),
    overruled: &mut Vec<String>,
) -> Option<()> {
    let list = |item: Option<&Item>| -> Vec<Table> {
        let tables = item.and_then(Item::as_array_of_tables);
        tables.into_iter().flatten().cloned().collect()
    };
    let (before, after) = (list(a), list(b));
    let empty = || Item::ArrayOfTables(toml_edit::ArrayOfTables::new());
    let there = root.entry(key).or_insert_with(empty);
    let there = there.as_array_of_tables_mut()?;
    let find = |tables: &[Table], entry: &Table| {
        tables.iter().position(|t| same(t.get(id), entry.get(id)))
    };
    for entry in &before {
        if find(&after, entry).is_none() {
            let gone = there.iter().position(|t| same(t.get(id), entry.get(id)));
            if let Some(k) = gone {
                there.remove(k);
            }
        }
    }
    for entry in &after {
        let old = find(&before, entry).map(|k| &before[k]);
        let found = there.iter().position(|t| same(t.get(id), entry.get(id)));
        match found.and_then(|k| there.get_mut(k)) {
            Some(t) => {
                let name = entry.get(id).map(|i| i.to_string().trim().to_owned());
                let name = format!("{key} {}", name.unwrap_or_default());
                let old = old.map(|t| t as &dyn TableLike);
                change_table(t, &name, old, Some(entry), overruled);
            }
            None if old.is_some_and(|old| {
                same(
                    Some(&Item::Table(old.clone())),
                    Some(&Item::Table(entry.clone())),
                )
            }) =>
            {
                // Taken out by somebody else, and not changed here.
            }
            None => {
                let mut new = entry.clone();
                new.set_position(None);
                there.push(new);
            }
        }
    }
    if there.is_empty() {
        root.remove(key);
    }
    Some(())
}

fn replace_list(
    root: &mut Table,
    key: &str,
    a: Option<&Item>,
    b: Option<&Item>,
    overruled: &mut Vec<String>,
) {
    let now = root.get(key);
    if now.is_some() && !same(now, a) && !same(now, b) {
        overruled.push(key.to_owned());
    }
    root.remove(key);
    if let Some(list) = b.and_then(Item::as_array_of_tables) {
        let mut new = toml_edit::ArrayOfTables::new();
        for table in list {
            let mut table = table.clone();
            table.set_position(None);
            new.push(table);
        }
        root.insert(key, Item::ArrayOfTables(new));
    }
}

/// Whether two say the same, however they are written.
fn same(a: Option<&Item>, b: Option<&Item>) -> bool {
    match (a, b) {
        (None, None) => true,
        (Some(a), Some(b)) => match (a.as_value(), b.as_value()) {
            (Some(a), Some(b)) => same_value(a, b),
            _ => {
                if let (Some(a), Some(b)) = (a.as_array_of_tables(), b.as_array_of_tables()) {
                    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same_table(a, b))
                } else if let (Some(a), Some(b)) = (a.as_table_like(), b.as_table_like()) {
                    same_table(a, b)
                } else {
                    false
                }
            }
        },
        _ => false,
    }
}

fn same_table(a: &dyn TableLike, b: &dyn TableLike) -> bool {
    keys(a, b).iter().all(|k| same(a.get(k), b.get(k)))
}

fn same_value(a: &Value, b: &Value) -> bool {
    let number = |v: &Value| match v {
        Value::Integer(n) => Some(*n.value() as f64),
        Value::Float(f) => Some(*f.value()),
        _ => None,
    };
    if let (Some(a), Some(b)) = (number(a), number(b)) {
        return a == b;
    }
    // A plain number says the same as a table that gives it as its value.
    let inner = |v: &Value| number(v.as_inline_table()?.get("value")?);
    if let (Some(a), Some(b)) = (
        number(a).or_else(|| inner(a)),
        number(b).or_else(|| inner(b)),
    ) && a != b
    {
        return false;
    } else if number(a).is_some() && inner(b).is_some() || inner(a).is_some() && number(b).is_some()
    {
        return true;
    }
    match (a, b) {
        (Value::String(a), Value::String(b)) => a.value() == b.value(),
        (Value::Boolean(a), Value::Boolean(b)) => a.value() == b.value(),
        (Value::Datetime(a), Value::Datetime(b)) => a.value() == b.value(),
        (Value::Array(a), Value::Array(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same_value(a, b))
        }
        (Value::InlineTable(a), Value::InlineTable(b)) => same_table(a, b),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BY_HAND: &str = "# ours\nversion = 1\n\n[rates] # money\nb = 2   # two\na = 1\n\n[[wire]]\nname = \"x\" # the old one\n# thick\nsize = 1\n";

    fn changed(from: &str, to: &str) -> Changed {
        let id = |k: &str| (k == "wire").then_some("name");
        carry_over(BY_HAND, from, to, &id).unwrap()
    }

    #[test]
    fn only_what_changed_is_changed() {
        let same = changed("[rates]\na = 1.0\n", "[rates]\na = 1\n");
        assert_eq!(same.text, BY_HAND);
        let one = changed("[rates]\nb = 2\n", "[rates]\nb = 3.5\n");
        assert_eq!(one.text, BY_HAND.replace("b = 2 ", "b = 3.5 "));
        let entry = "[[wire]]\nname = \"x\"\nsize = 1\n";
        let cell = changed(entry, &entry.replace('1', "7"));
        assert_eq!(cell.text, BY_HAND.replace("size = 1", "size = 7"));
        let more = changed(
            entry,
            &format!("{entry}\n[[wire]]\nname = \"y\"\nsize = 2\n"),
        );
        assert!(more.text.starts_with(BY_HAND), "{}", more.text);
        assert!(
            more.text.ends_with("[[wire]]\nname = \"y\"\nsize = 2\n"),
            "{}",
            more.text
        );
        let none = changed(entry, "");
        assert!(!none.text.contains("wire") && none.text.contains("b = 2   # two"));
        assert!(
            [one, cell, more, none]
                .iter()
                .all(|c| c.overruled.is_empty())
        );
    }

    #[test]
    fn what_somebody_else_changed_meanwhile_is_named() {
        let out = changed("[rates]\na = 5\nb = 2\n", "[rates]\na = 6\nb = 3\n");
        assert_eq!(out.overruled, ["rates.a"]);
        assert!(out.text.contains("a = 6") && out.text.contains("b = 3   # two"));
    }
}
