//! The order of tables in the file, which for tubes is the order of fitting.

use toml_edit::{Array, DocumentMut, InlineTable, Item, Table, Value};

use super::{Step, entries, out_of_step, problem};

/// Puts a new table's header ahead of the first table of another name, or at the end of the file.
pub fn place_before_first(doc: &mut DocumentMut, new: &str, other: &str) {
    let mut order = Order::of(doc);
    let block = order.take_block(&[new]);
    let at = order.paths.iter().position(|(path, _)| path.first().is_some_and(|k| k == other));
    order.insert(block, at);
    order.apply(doc);
}

/// Puts a new table's header at the end of the file.
pub fn place_last(doc: &mut DocumentMut, new: &str) {
    let mut order = Order::of(doc);
    let block = order.take_block(&[new]);
    order.insert(block, None);
    order.apply(doc);
}

/// Adds a tube, in the way that the others are written; its place in the order is set by [`fit_before`].
pub fn add_tube(doc: &mut DocumentMut, name: &str, section: &str, path: &[String]) {
    let section = Value::from(section);
    let path = Value::Array(path.iter().map(|p| Value::from(p.as_str())).collect::<Array>());
    let in_lines = doc.get("tube").is_some_and(|tubes| entries(tubes).next().is_some_and(|(_, t)| t.is_value()));
    if !doc.contains_key("tube") {
        let mut tubes = Table::new();
        tubes.set_implicit(true);
        doc.insert("tube", Item::Table(tubes));
    }
    let Some(tubes) = doc.get_mut("tube").and_then(Item::as_table_like_mut) else { return };
    let item = if in_lines {
        let mut tube = InlineTable::new();
        tube.insert("section", section);
        tube.insert("path", path);
        Item::Value(Value::InlineTable(tube))
    } else {
        let mut tube = Table::new();
        tube.insert("section", Item::Value(section));
        tube.insert("path", Item::Value(path));
        Item::Table(tube)
    };
    tubes.insert(name, item);
}

/// Moves a tube ahead of another in the file, or behind all others.
pub fn fit_before(doc: &mut DocumentMut, name: &str, before: Option<&str>) -> Step {
    let tubes = doc.get("tube").ok_or_else(out_of_step)?;
    let standing = entries(tubes).filter(|(_, t)| t.as_table().is_some_and(|t| !t.is_dotted())).count();
    let all = entries(tubes).count();
    if standing == all {
        let mut order = Order::of(doc);
        let block = order.take_block(&["tube", name]);
        let is_tube = |path: &[String], n: &str| path.len() >= 2 && path[0] == "tube" && path[1] == n;
        let at = match before {
            Some(before) => order.paths.iter().position(|(path, _)| is_tube(path, before)),
            None => order.paths.iter().rposition(|(path, _)| path.len() >= 2 && path[0] == "tube").map(|i| i + 1),
        };
        order.insert(block, at);
        order.apply(doc);
        return Ok(());
    }
    if standing > 0 {
        return Err(problem(
            "the tubes of this file are written in two ways, which can't be put in another order here".to_owned(),
            "give each tube a header of its own, [tube.NAME]",
        ));
    }
    let tubes = doc.get_mut("tube").ok_or_else(out_of_step)?;
    let mut names: Vec<String> = entries(tubes).map(|(key, _)| key.to_owned()).filter(|n| n != name).collect();
    let at = before.and_then(|b| names.iter().position(|n| n == b)).unwrap_or(names.len());
    names.insert(at, name.to_owned());
    reorder(tubes, &names)
}

/// Puts the entries of a table in another order, with what stands round each.
pub fn reorder(table: &mut Item, names: &[String]) -> Step {
    match table {
        Item::Table(table) => {
            // From the back, where taking one out moves none of the others.
            let taken: Vec<_> = names.iter().rev().filter_map(|n| table.remove_entry(n)).collect();
            for (key, item) in taken.into_iter().rev() {
                table.insert_formatted(&key, item);
            }
        }
        Item::Value(Value::InlineTable(table)) => {
            let taken: Vec<_> = names.iter().rev().filter_map(|n| table.remove_entry(n)).collect();
            for (key, value) in taken.into_iter().rev() {
                table.insert_formatted(&key, value);
            }
        }
        _ => return Err(out_of_step()),
    }
    Ok(())
}

/// The headers of a file, in the order of the file.
struct Order {
    /// The way to each, and its number in a walk over the tree.
    paths: Vec<(Vec<String>, usize)>,
}

impl Order {
    fn of(doc: &DocumentMut) -> Self {
        let mut found: Vec<(isize, Vec<String>, usize)> = Vec::new();
        let mut last = 0;
        walk(doc.as_table(), &mut Vec::new(), &mut |table, path| {
            // A table without a position is written behind the one before it in the tree.
            last = table.position().unwrap_or(last);
            found.push((last, path.to_vec(), found.len()));
        });
        found.sort_by_key(|(position, ..)| *position);
        Order { paths: found.into_iter().map(|(_, path, number)| (path, number)).collect() }
    }

    /// Takes out the headers of a table and of all that is in it.
    fn take_block(&mut self, path: &[&str]) -> Vec<(Vec<String>, usize)> {
        let (block, rest) = std::mem::take(&mut self.paths)
            .into_iter()
            .partition(|(p, _)| p.len() >= path.len() && p.iter().zip(path).all(|(a, b)| a == b));
        self.paths = rest;
        block
    }

    fn insert(&mut self, block: Vec<(Vec<String>, usize)>, at: Option<usize>) {
        let at = at.unwrap_or(self.paths.len());
        self.paths.splice(at..at, block);
    }

    fn apply(&self, doc: &mut DocumentMut) {
        let mut positions = vec![0; self.paths.len()];
        for (rank, (_, number)) in self.paths.iter().enumerate() {
            positions[*number] = rank as isize;
        }
        let mut positions = positions.into_iter();
        walk_mut(doc.as_table_mut(), &mut |table| {
            table.set_position(positions.next());
        });
    }
}

/// Every table with a header, but for the root.
fn walk(table: &Table, path: &mut Vec<String>, visit: &mut dyn FnMut(&Table, &[String])) {
    if !path.is_empty() && !table.is_dotted() {
        visit(table, path);
    }
    for (key, item) in table.iter() {
        path.push(key.to_owned());
        match item {
            Item::Table(inner) => walk(inner, path, visit),
            Item::ArrayOfTables(list) => list.iter().for_each(|inner| walk(inner, path, visit)),
            _ => {}
        }
        path.pop();
    }
}

fn walk_mut(root: &mut Table, visit: &mut dyn FnMut(&mut Table)) {
    for (_, item) in root.iter_mut() {
        match item {
            Item::Table(inner) => {
                if !inner.is_dotted() {
                    visit(inner);
                }
                walk_mut(inner, visit);
            }
            Item::ArrayOfTables(list) => {
                for inner in list.iter_mut() {
                    if !inner.is_dotted() {
                        visit(inner);
                    }
                    walk_mut(inner, visit);
                }
            }
            _ => {}
        }
    }
}
