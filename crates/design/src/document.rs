//! A design file that is edited: comments, order and layout stay, and what is written is always a valid design.

mod order;
mod rack;
mod removal;
mod rename;
mod values;

pub use rack::{Change, Fate, Taken};
pub(crate) use values::number_text;

use toml_edit::{Array, Decor, DocumentMut, InlineTable, Item, Value};

use crate::edit::{Edit, Setting};
use crate::keys::{self, Form};
use crate::model::{Design, Point, Tube, twin_name};
use crate::problem::{Problem, Severity};
use crate::read::{Reading, read};
use crate::suggest::nearest;

/// A design file open for editing.
#[derive(Clone, Debug)]
pub struct Document {
    reading: Reading,
}

/// Why an edit was not made.
#[derive(Clone, Debug, PartialEq)]
pub struct Refusal {
    /// What is in the way.
    pub problems: Vec<Problem>,
    /// The text that the problems point into: the document's, or what the edit would have made of it.
    pub text: String,
}

/// What came of the steps of an edit: nothing, or what is in the way.
type Step = Result<(), Vec<Problem>>;

impl Document {
    /// Opens a text.
    ///
    /// # Errors
    /// As [`read`].
    pub fn open(text: &str) -> Result<Self, Vec<Problem>> {
        Ok(Document { reading: read(text)? })
    }

    /// The text as it stands.
    pub fn text(&self) -> &str {
        &self.reading.design.source
    }

    /// The design that the text says.
    pub fn design(&self) -> &Design {
        &self.reading.design
    }

    /// Remarks on it.
    pub fn notes(&self) -> &[Problem] {
        &self.reading.notes
    }

    /// Makes an edit and gives the new text.
    ///
    /// # Errors
    /// What is in the way; the document is then as it was.
    pub fn apply(&mut self, edit: &Edit) -> Result<&str, Refusal> {
        self.apply_all(std::slice::from_ref(edit))
    }

    /// Makes edits one after the other, all or none, and gives the new text. Between them the text may say something that
    /// can't be, if only keys are set or taken away until it can: a tube is given its path, then the radius of its bends.
    ///
    /// # Errors
    /// What is in the way; the document is then as it was.
    pub fn apply_all(&mut self, edits: &[Edit]) -> Result<&str, Refusal> {
        let was = self.reading.clone();
        let mut text = self.text().to_owned();
        let mut unread: Option<Vec<Problem>> = None;
        for edit in edits {
            // Other edits go by what was read last, which is not what the text says now.
            if !matches!(edit, Edit::SetKey { .. } | Edit::RemoveKey { .. })
                && let Some(problems) = unread
            {
                self.reading = was;
                return Err(Refusal { problems, text });
            }
            match self.edited(&text, edit) {
                Ok(new) => text = self.with_own_line_ends(new),
                Err(problems) => {
                    self.reading = was;
                    return Err(Refusal { problems, text });
                }
            }
            unread = match read(&text) {
                Ok(reading) => {
                    self.reading = reading;
                    None
                }
                Err(problems) => Some(problems),
            };
        }
        if let Some(problems) = unread {
            self.reading = was;
            return Err(Refusal { problems, text });
        }
        Ok(self.text())
    }

    fn edited(&self, text: &str, edit: &Edit) -> Result<String, Vec<Problem>> {
        match edit {
            Edit::RenamePoint { point, to } => return self.rename_point(point, to),
            Edit::RenameTube { tube, to } => return self.rename_tube(tube, to),
            _ => {}
        }
        let mut doc = parse(text)?;
        match edit {
            Edit::SetPoint { point, at } => self.set_point(&mut doc, point, *at)?,
            Edit::PlaceOnTube { point, tube, length } => self.place_on_tube(&mut doc, point, tube, *length)?,
            Edit::AddPoint { point, at } => self.add_point(&mut doc, point, *at)?,
            Edit::RemovePoint { point } => self.remove_point(&mut doc, point)?,
            Edit::AddTube { tube, section, path, before } => {
                self.add_tube(&mut doc, tube, section, path, before.as_deref())?;
            }
            Edit::RemoveTube { tube } => self.remove_tube(&mut doc, tube)?,
            Edit::MoveTube { tube, before } => self.move_tube(&mut doc, tube, before.as_deref())?,
            Edit::SetProvisional { tube, provisional: true } => {
                let way = ["provisional".to_owned()];
                self.set_key(&mut doc, "tube", Some(tube), &way, &Setting::Flag(true))?;
            }
            Edit::SetProvisional { tube, provisional: false } => {
                remove_key(&mut doc, "tube", Some(base(tube)), &["provisional".to_owned()])?;
            }
            Edit::SetKey { table, name, key, value } => self.set_key(&mut doc, table, name.as_deref(), key, value)?,
            Edit::RemoveKey { table, name, key } => remove_key(&mut doc, table, name.as_deref().map(base), key)?,
            Edit::RenamePoint { .. } | Edit::RenameTube { .. } => {}
        }
        Ok(doc.to_string())
    }

    /// The editor writes line feeds alone; a file from elsewhere keeps its own line ends.
    fn with_own_line_ends(&self, text: String) -> String {
        if self.text().contains("\r\n") { text.replace("\r\n", "\n").replace('\n', "\r\n") } else { text }
    }

    fn point(&self, name: &str) -> Result<&Point, Vec<Problem>> {
        let points = &self.design().points;
        let found = points.iter().find(|p| p.name == base(name));
        found.ok_or_else(|| unknown("point", name, points.iter().map(|p| p.name.as_str())))
    }

    fn tube(&self, name: &str) -> Result<&Tube, Vec<Problem>> {
        let tubes = &self.design().tubes;
        let found = tubes.iter().find(|t| t.name == base(name));
        found.ok_or_else(|| unknown("tube", name, tubes.iter().map(|t| t.name.as_str())))
    }

    fn set_point(&self, doc: &mut DocumentMut, name: &str, at: [f64; 3]) -> Step {
        let point = &self.point(name)?.name;
        let at = if is_twin(name) { [at[0], -at[1], at[2]] } else { at };
        let item = doc.get_mut("point").and_then(|points| points.get_mut(point)).ok_or_else(out_of_step)?;
        let new = values::coordinates(&at, self.design().units, item.as_value())?;
        replace(item, new);
        Ok(())
    }

    fn place_on_tube(&self, doc: &mut DocumentMut, name: &str, tube: &str, length: f64) -> Step {
        let point = &self.point(name)?.name;
        let on = self.tube(tube)?;
        // What a twin is on, its original is on the twin of.
        let twin = is_twin(tube) != is_twin(name);
        if twin && !on.mirror {
            let help = format!("place {point} itself on it");
            return Err(problem(format!("{name} is the mirror image of {point}, and {tube} has none"), help));
        }
        let item = doc.get_mut("point").and_then(|points| points.get_mut(point)).ok_or_else(out_of_step)?;
        let mut place = InlineTable::new();
        place.insert("on", Value::from(twin_name(&on.name, twin)));
        place.insert("at", values::length_along(length, self.design().units)?);
        replace(item, Value::InlineTable(place));
        Ok(())
    }

    fn add_point(&self, doc: &mut DocumentMut, name: &str, at: [f64; 3]) -> Step {
        check_new_name("point", name, self.design().points.iter().map(|p| p.name.as_str()))?;
        let value = values::coordinates(&at, self.design().units, None)?;
        if !doc.contains_key("point") {
            doc.insert("point", toml_edit::table());
            order::place_before_first(doc, "point", "tube");
        }
        put(doc.get_mut("point").ok_or_else(out_of_step)?, name, value)
    }

    fn add_tube(
        &self,
        doc: &mut DocumentMut,
        name: &str,
        section: &str,
        path: &[String],
        before: Option<&str>,
    ) -> Step {
        check_new_name("tube", name, self.design().tubes.iter().map(|t| t.name.as_str()))?;
        let before = before.map(|b| self.tube(b).map(|t| t.name.clone())).transpose()?;
        order::add_tube(doc, name, section, path);
        order::fit_before(doc, name, before.as_deref())
    }

    fn move_tube(&self, doc: &mut DocumentMut, name: &str, before: Option<&str>) -> Step {
        let name = self.tube(name)?.name.clone();
        let before = before.map(|b| self.tube(b).map(|t| t.name.clone())).transpose()?;
        if before.as_ref() == Some(&name) {
            return Ok(());
        }
        order::fit_before(doc, &name, before.as_deref())
    }

    fn set_key(&self, doc: &mut DocumentMut, table: &str, name: Option<&str>, way: &[String], value: &Setting) -> Step {
        let (top, definition, last) = definition_of(table, way)?;
        let first = doc.get(table).is_none() && top.form == Form::Once;
        if first {
            doc.insert(table, toml_edit::table());
            order::place_last(doc, table);
        }
        let mut at = named_table(doc, top, name.map(base))?;
        for key in &way[..way.len() - 1] {
            if at.get(key).is_none() {
                put(at, key, Value::InlineTable(InlineTable::new()))?;
            }
            at = at.get_mut(key).ok_or_else(|| not_a_table(key))?;
        }
        let old = at.get(last).and_then(Item::as_value);
        let new = values::setting(value, &definition.value, self.design().units, old, last)?;
        put(at, last, new)
    }
}

/// The name without the twin's mark.
fn base(name: &str) -> &str {
    name.strip_suffix('~').unwrap_or(name)
}

fn is_twin(name: &str) -> bool {
    name.ends_with('~')
}

fn parse(text: &str) -> Result<DocumentMut, Vec<Problem>> {
    text.parse::<DocumentMut>().map_err(|e| {
        let span = e.span().unwrap_or(0..0);
        vec![Problem::error("the file is not valid TOML", span, e.message().to_owned())]
    })
}

/// A problem that no place in the text has.
fn problem(message: String, help: impl Into<String>) -> Vec<Problem> {
    let help = Some(help.into());
    vec![Problem { severity: Severity::Error, message, span: None, label: String::new(), help }]
}

/// The reader found something that the editor does not: said rather than guessed at.
fn out_of_step() -> Vec<Problem> {
    problem(
        "this part of the file is written in a way that can't be edited here".to_owned(),
        "edit the file by hand, or write the table with a header of its own",
    )
}

fn not_a_table(key: &str) -> Vec<Problem> {
    problem(format!("`{key}` is not a table, so nothing can be set in it"), "set the whole of it")
}

fn unknown<'a>(kind: &str, name: &str, names: impl Iterator<Item = &'a str>) -> Vec<Problem> {
    let help = match nearest(base(name), names) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("name a {kind} of this design"),
    };
    problem(format!("there is no {kind} `{name}`"), help)
}

/// Whether something may be called this.
fn check_new_name<'a>(kind: &str, name: &str, mut taken: impl Iterator<Item = &'a str>) -> Step {
    let starts = name.starts_with(|c: char| c.is_ascii_alphabetic());
    if !starts || !name.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '_' | '-')) {
        let help = "use letters a to z, digits, `_` and `-`, starting with a letter";
        return Err(problem(format!("`{name}` can't be the name of a {kind}"), help));
    }
    if taken.any(|t| t == name) {
        return Err(problem(format!("there is a {kind} `{name}` already"), "choose another name"));
    }
    Ok(())
}

/// The table that a top and a name lead to.
fn named_table<'d>(
    doc: &'d mut DocumentMut,
    top: &keys::Top,
    name: Option<&str>,
) -> Result<&'d mut Item, Vec<Problem>> {
    let table = doc.get_mut(top.name);
    match (top.form, name) {
        (Form::Once, None) => table.ok_or_else(out_of_step),
        (Form::Once, Some(_)) => Err(problem(format!("[{}] has no names", top.name), "leave the name out")),
        (_, None) => Err(problem(format!("which {}?", top.name), "give its name")),
        (_, Some(name)) => match table {
            Some(table) if table.get(name).is_some() => table.get_mut(name).ok_or_else(out_of_step),
            Some(table) => {
                let names: Vec<String> = entries(table).map(|(key, _)| key.to_owned()).collect();
                Err(unknown(top.name, name, names.iter().map(String::as_str)))
            }
            None => Err(unknown(top.name, name, std::iter::empty())),
        },
    }
}

fn entries(table: &Item) -> impl Iterator<Item = (&str, &Item)> {
    table.as_table_like().into_iter().flat_map(|t| t.iter())
}

/// The definition of the key that a way leads to.
fn definition_of<'w>(
    table: &str,
    way: &'w [String],
) -> Result<(&'static keys::Top, &'static keys::Key, &'w str), Vec<Problem>> {
    let top = keys::top(table).ok_or_else(|| unknown("table", table, keys::TOPS.iter().map(|t| t.name)))?;
    let mut at = top.table;
    for (i, key) in way.iter().enumerate() {
        let definition = at.key(key).ok_or_else(|| unknown("key", key, at.keys.iter().map(|k| k.name)))?;
        if i + 1 == way.len() {
            return Ok((top, definition, key));
        }
        at = match &definition.value {
            keys::Value::Table(table) => table,
            keys::Value::Either(all) => {
                let table = all.iter().find_map(|v| if let keys::Value::Table(t) = v { Some(*t) } else { None });
                table.ok_or_else(|| not_a_table(key))?
            }
            _ => return Err(not_a_table(key)),
        };
    }
    Err(problem(format!("no key of `{table}` is named"), "name a key"))
}

fn remove_key(doc: &mut DocumentMut, table: &str, name: Option<&str>, way: &[String]) -> Step {
    let (top, _, last) = definition_of(table, way)?;
    if !doc.contains_key(table) {
        return Ok(());
    }
    let mut at = named_table(doc, top, name)?;
    for key in &way[..way.len() - 1] {
        match at.get_mut(key) {
            Some(inner) => at = inner,
            None => return Ok(()),
        }
    }
    take(at, last);
    Ok(())
}

/// Puts a value in another's place, with the blanks and comments round it.
fn replace(item: &mut Item, mut new: Value) {
    if let Some(old) = item.as_value() {
        *new.decor_mut() = old.decor().clone();
    }
    *item = Item::Value(new);
}

/// Sets a key of a table, in place if it is there, else after the others.
fn put(table: &mut Item, key: &str, mut new: Value) -> Step {
    match table {
        Item::Table(table) => match table.get_mut(key) {
            Some(item) => replace(item, new),
            None => {
                table.insert(key, Item::Value(new));
            }
        },
        Item::Value(Value::InlineTable(table)) => {
            if let Some(value) = table.get_mut(key) {
                *new.decor_mut() = value.decor().clone();
                *value = new;
                return Ok(());
            }
            // The blank before the closing brace belongs to the last value.
            let last = table.iter().last().map(|(key, _)| key.to_owned());
            let suffix = last.and_then(|last| Some(take_suffix(table.get_mut(&last)?)));
            table.insert(key, new.decorated(" ", suffix.unwrap_or_else(|| " ".to_owned())));
            if let Some(mut key) = table.key_mut(key) {
                *key.leaf_decor_mut() = Decor::new(" ", " ");
            }
        }
        _ => return Err(not_a_table(key)),
    }
    Ok(())
}

/// Takes a key out of a table.
fn take(table: &mut Item, key: &str) {
    match table {
        Item::Table(table) => {
            table.remove(key);
        }
        Item::Value(Value::InlineTable(table)) => {
            let was_last = table.iter().last().is_some_and(|(k, _)| k == key);
            let Some(mut value) = table.remove(key) else { return };
            let last = table.iter().last().map(|(key, _)| key.to_owned());
            if was_last && let Some(last) = last.and_then(|last| table.get_mut(&last)) {
                last.decor_mut().set_suffix(take_suffix(&mut value));
            }
        }
        _ => {}
    }
}

/// Takes items out of a list, and leaves the blanks at its two ends as they are.
fn take_items(list: &mut Array, mut keep: impl FnMut(usize) -> bool) {
    let prefix = list.get(0).and_then(|v| v.decor().prefix().cloned());
    let suffix = list.iter().last().and_then(|v| v.decor().suffix().cloned());
    let mut i = 0;
    list.retain(|_| {
        i += 1;
        keep(i - 1)
    });
    if let (Some(first), Some(prefix)) = (list.get_mut(0), prefix) {
        first.decor_mut().set_prefix(prefix);
    }
    let last = list.len().saturating_sub(1);
    if let (Some(last), Some(suffix)) = (list.get_mut(last), suffix) {
        last.decor_mut().set_suffix(suffix);
    }
}

fn take_suffix(value: &mut Value) -> String {
    let suffix = value.decor().suffix().and_then(|s| s.as_str()).unwrap_or("").to_owned();
    value.decor_mut().set_suffix("");
    suffix
}
