//! A list of sticks from a table: what a shop keeps in a spreadsheet, for the rack of a design.
//!
//! Columns are called as the keys of `[[rack.stick]]`. A section is named, or given by a size that one section of the
//! design has. Nothing is written here: see [`Document::take_in`](crate::Document::take_in).

mod sizes;

use std::borrow::Cow;

use crate::csv::{Field, Row, Separator, Table};
use crate::keys::{self, Bounds, Value};
use crate::model::{Design, Per, SectionId, SupplierId};
use crate::problem::{Problem, Severity};
use crate::suggest::nearest;
use crate::units::{Decimal, Quantity, Unit, decimal_text, parse_text, show};

/// A row of the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Listed {
    /// The line on which it stands.
    pub line: usize,
    /// Section.
    pub section: SectionId,
    /// Length of one, m.
    pub length: f64,
    /// The same as the list has it, in the file's units unless it names one.
    pub length_text: String,
    /// How many are on hand; `None`: can be bought.
    pub count: Option<u32>,
    /// Paid for, but not here yet.
    pub ordered: bool,
    /// Price of one, or of what `per` says.
    pub price: Option<f64>,
    /// What the price is for.
    pub per: Option<Per>,
    /// What the seller takes for each cut.
    pub cut_fee: Option<f64>,
    /// Who sells it.
    pub supplier: Option<SupplierId>,
    /// Where it stands, or its mark.
    pub place: Option<String>,
}

/// A list that can be taken in.
#[derive(Clone, Debug, PartialEq)]
pub struct SteelList {
    /// Its rows.
    pub rows: Vec<Listed>,
    /// Remarks, such as on columns that are not read.
    pub notes: Vec<Problem>,
}

/// Reads a list for a design. Places of problems are those of the table's text.
///
/// # Errors
/// Everything that is wrong with any row.
pub fn read(table: &Table, design: &Design) -> Result<SteelList, Vec<Problem>> {
    let mut r = Reader { table, design, columns: Vec::new(), problems: Vec::new(), notes: Vec::new() };
    let header = table.header.first().map_or(0..0, |f| f.span.start..table.header[table.header.len() - 1].span.end);
    for key in keys::STICK.keys {
        match table.column(key.name) {
            Ok(Some(column)) => r.columns.push((key.name, column)),
            Ok(None) if key.required => {
                let message = format!("the list has no column `{}`", key.name);
                let help = format!("name the columns on the first line; those that are read are {}", known());
                r.problems.push(Problem::error(message, header.clone(), "the header").help(help));
            }
            Ok(None) => {}
            Err(problem) => r.problems.push(problem),
        }
    }
    let names: Vec<&str> = keys::STICK.keys.iter().map(|k| k.name).collect();
    for other in table.others(&names) {
        let near = nearest(&other.text, names.iter().copied());
        let help = near.map_or_else(|| format!("those that are read are {}", known()), |n| format!("is `{n}` meant?"));
        let message = format!("the column `{}` is not read", other.text);
        let note =
            Problem { severity: Severity::Note, ..Problem::error(message, other.span.clone(), "not a key of a stick") };
        r.notes.push(note.help(help));
    }
    if r.problems.is_empty() && table.rows.is_empty() {
        r.problems.push(
            Problem::error("the list names no stick", header, "nothing after the header").help("add a line for each"),
        );
    }
    let rows: Vec<Option<Listed>> =
        if r.problems.is_empty() { table.rows.iter().map(|row| r.row(row)).collect() } else { Vec::new() };
    if r.problems.is_empty() {
        Ok(SteelList { rows: rows.into_iter().flatten().collect(), notes: r.notes })
    } else {
        Err(r.problems)
    }
}

/// The columns that are read, in words.
fn known() -> String {
    keys::STICK.keys.iter().map(|k| format!("`{}`", k.name)).collect::<Vec<_>>().join(", ")
}

struct Reader<'a> {
    table: &'a Table,
    design: &'a Design,
    columns: Vec<(&'static str, usize)>,
    problems: Vec<Problem>,
    notes: Vec<Problem>,
}

impl<'a> Reader<'a> {
    fn wrong(&mut self, f: &Field, message: String, label: impl Into<String>, help: impl Into<String>) {
        self.problems.push(Problem::error(message, f.span.clone(), label).help(help));
    }

    fn field(&self, row: &'a Row, key: &str) -> Option<&'a Field> {
        let column = self.columns.iter().find(|c| c.0 == key)?.1;
        row.get(column)
    }

    fn row(&mut self, row: &'a Row) -> Option<Listed> {
        let before = self.problems.len();
        for key in ["section", "length"] {
            if self.field(row, key).is_none() {
                let message = format!("line {} has no {key}", row.line);
                let problem = Problem::error(message, row.span(), format!("its `{key}` is empty"));
                self.problems.push(problem.help("fill it in, or put # before a line that is not meant"));
            }
        }
        let section = self.field(row, "section").and_then(|f| self.section(f));
        let length = self.field(row, "length").and_then(|f| Some((self.number(f, "length")?, f)));
        let count = self.field(row, "count").and_then(|f| self.count(f));
        let ordered = self.field(row, "ordered").and_then(|f| self.flag(f)).unwrap_or(false);
        let price = self.field(row, "price").and_then(|f| self.number(f, "price")).map(|n| n.0);
        let per = self.field(row, "per").and_then(|f| self.per(f));
        let cut_fee = self.field(row, "cut_fee").and_then(|f| self.number(f, "cut_fee")).map(|n| n.0);
        let supplier = self.field(row, "supplier").and_then(|f| self.supplier(f));
        let place = self.field(row, "place").map(|f| f.text.clone());
        if let Some(((length, _), f)) = &length
            && *length <= self.design.rack.trim
        {
            let trim = show(self.design.rack.trim, Quantity::Length, self.design.units);
            let message = format!("line {} is a stick no longer than the trim", row.line);
            self.wrong(f, message, format!("must be more than {trim}"), "check it, and `trim` of [rack]");
        }
        // In a spreadsheet every row has every column: what says nothing about a stick on hand is passed over.
        let (per, cut_fee) = if count.is_some() {
            (per.filter(|p| *p != Per::Stick), cut_fee.filter(|f| *f != 0.0))
        } else {
            (per, cut_fee)
        };
        if count.is_some() {
            for (key, given) in
                [("per", per.is_some()), ("cut_fee", cut_fee.is_some()), ("supplier", supplier.is_some())]
            {
                if let Some(f) = self.field(row, key).filter(|_| given) {
                    let message = format!("line {} is on hand and to be bought", row.line);
                    let help = "what is on hand is paid for: leave this empty, or `count`";
                    self.wrong(f, message, format!("`{key}` is for what is to be bought"), help);
                }
            }
        }
        if let Some(f) = self.field(row, "ordered").filter(|_| ordered && self.field(row, "count").is_none()) {
            let message = format!("line {} is ordered, but not how many", row.line);
            self.wrong(f, message, "needs `count`", "fill in `count`");
        }
        if self.problems.len() > before {
            return None;
        }
        let ((length, length_text), _) = length?;
        let line = row.line;
        Some(Listed {
            line,
            section: section?,
            length,
            length_text,
            count,
            ordered,
            price,
            per,
            cut_fee,
            supplier,
            place,
        })
    }

    fn section(&mut self, f: &Field) -> Option<SectionId> {
        let sections = &self.design.sections;
        let names =
            |ids: &[usize]| ids.iter().map(|i| format!("`{}`", sections[*i].name)).collect::<Vec<_>>().join(", ");
        if let Some(i) = sections.iter().position(|s| s.name == f.text) {
            return Some(SectionId(i));
        }
        let found = sizes::of(&f.text, self.design, |part| self.table.pointed(part));
        match found.as_deref() {
            Some([one]) => return Some(SectionId(*one)),
            Some([]) => {
                let all: Vec<usize> = (0..sections.len()).collect();
                let message = format!("no section of the design is {}", f.text);
                self.wrong(f, message, "not one of its sizes", format!("its sections are {}", names(&all)));
            }
            Some(several) => {
                let message = format!("more than one section of the design is {}", f.text);
                self.wrong(f, message, "which of them?", format!("name the one that is meant: {}", names(several)));
            }
            None => {
                let near = nearest(&f.text, sections.iter().map(|s| s.name.as_str()));
                let help = near.map_or_else(
                    || "give the name of a section, or its size such as \"45 x 2.5\" or \"CHS 48.3 x 3.0\"".to_owned(),
                    |n| format!("did you mean `{n}`?"),
                );
                self.wrong(
                    f,
                    format!("there is no section `{}` in the design", f.text),
                    "neither a name nor a size",
                    help,
                );
            }
        }
        None
    }

    /// A number and its text with a decimal point.
    fn number(&mut self, f: &Field, key: &str) -> Option<(f64, String)> {
        let Some(Value::Number(quantity, bounds)) = keys::STICK.key(key).map(|k| &k.value) else { return None };
        let text: Cow<'_, str> = self.table.pointed(&f.text);
        if self.table.separator != Separator::Comma && is_thousands(&text) {
            let message = format!("`{}` can be read in two ways", f.text);
            let help = "write it without a mark between thousands, and decimals with one or two digits";
            self.wrong(f, message, "a decimal mark or one between thousands?", help);
            return None;
        }
        let read = match quantity {
            Quantity::Length => parse_text(&text, *quantity, self.design.units).map(|w| w.value),
            _ => Decimal::parse(&text).map(|d| d.to_si(Unit::One)).ok_or_else(|| "not a plain number".to_owned()),
        };
        let value = match read {
            Ok(value) => value,
            Err(why) => {
                let help = match quantity {
                    Quantity::Length => "write it as in the design file, such as 6000, \"6 m\" or \"20 ft\"",
                    _ => "write a plain number, in the currency of [rack]",
                };
                self.wrong(f, format!("`{}` is no {key}", f.text), why, help);
                return None;
            }
        };
        if !bounds.hold(value) {
            let message = format!("`{}` can't be a {key}", f.text);
            self.wrong(f, message, within(bounds, *quantity, self.design.units), "check the figure and its unit");
            return None;
        }
        Some((value, text.into_owned()))
    }

    fn count(&mut self, f: &Field) -> Option<u32> {
        let most = match keys::STICK.key("count").map(|k| &k.value) {
            Some(Value::Count(_, most)) => *most,
            _ => 0,
        };
        match f.text.parse::<u32>() {
            Ok(n) if i64::from(n) <= most => Some(n),
            _ => {
                let help = "write how many are on hand, or leave it empty for what is to be bought";
                self.wrong(f, format!("`{}` is no count", f.text), format!("a whole number up to {most} wanted"), help);
                None
            }
        }
    }

    fn flag(&mut self, f: &Field) -> Option<bool> {
        match f.text.to_lowercase().as_str() {
            "true" | "yes" => Some(true),
            "false" | "no" => Some(false),
            _ => {
                let message = format!("`{}` is neither true nor false", f.text);
                self.wrong(f, message, "true, false, yes or no wanted", "leave it empty for what is here");
                None
            }
        }
    }

    fn per(&mut self, f: &Field) -> Option<Per> {
        match f.text.to_lowercase().as_str() {
            "stick" => Some(Per::Stick),
            "m" => Some(Per::Metre),
            "ft" => Some(Per::Foot),
            _ => {
                let help = "leave it empty for the price of a stick";
                self.wrong(f, format!("`{}` is not what a price is for", f.text), "stick, m or ft wanted", help);
                None
            }
        }
    }

    fn supplier(&mut self, f: &Field) -> Option<SupplierId> {
        let suppliers = &self.design.suppliers;
        if let Some(i) = suppliers.iter().position(|s| s.name == f.text) {
            return Some(SupplierId(i));
        }
        let help = match nearest(&f.text, suppliers.iter().map(|s| s.name.as_str())) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "add [supplier.NAME] to the design first, or leave it empty".to_owned(),
        };
        self.wrong(f, format!("there is no supplier `{}` in the design", f.text), "not a supplier", help);
        None
    }
}

/// `6.000` or `12.500`: six, or six thousand?
fn is_thousands(text: &str) -> bool {
    text.split_once('.').is_some_and(|(before, after)| {
        let digits = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
        let after = after.split(|c: char| !c.is_ascii_digit()).next().unwrap_or("");
        digits(before) && before.len() <= 3 && !before.starts_with('0') && after.len() == 3
    })
}

/// Bounds in words.
fn within(b: &Bounds, quantity: Quantity, units: crate::model::Units) -> String {
    let text = |v: f64| match quantity {
        Quantity::Plain => decimal_text(v, Unit::One),
        _ => show(v, quantity, units),
    };
    let least = if b.above { format!("more than {}", text(b.least)) } else { format!("at least {}", text(b.least)) };
    format!("must be {least} and at most {}", text(b.most))
}
