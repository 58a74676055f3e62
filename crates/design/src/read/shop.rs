//! The shop: `[notcher]`, `[die.NAME]`, `[rack]`, `[limits]`.

use super::fields::{Fields, Node, Reader, clip};
use super::room::is_outside;
use crate::keys::{self, Kind};
use crate::model::{
    Die, Limits, Notcher, Per, Rack, Saw, SectionId, Span, Stage, Stick, Supplier, SupplierId, TestBend, TubeId, Units,
    WeldedClass,
};
use crate::units::{Quantity, show};

/// Gap that a welder still fills well, m; common practice, no source.
pub const DEFAULT_FIT: f64 = 0.001;
/// Tubes nearer than this rattle or hide a joint that was meant, m; common practice, no source.
pub const DEFAULT_TOUCH: f64 = 0.005;
/// What a tape can be read to, m.
pub const DEFAULT_ROUND_MM: f64 = 0.000_5;
/// The same for a tape in inches: 1/16 in, m.
pub const DEFAULT_ROUND_IN: f64 = 0.001_587_5;
/// What an angle finder can be read to, degrees.
pub const DEFAULT_ROUND_ANGLE: f64 = 0.5;

/// The limits of a file that says nothing of them.
pub fn default_limits(units: Units) -> Limits {
    Limits {
        gap: 0.0,
        fit: DEFAULT_FIT,
        touch: DEFAULT_TOUCH,
        round: if units == Units::In { DEFAULT_ROUND_IN } else { DEFAULT_ROUND_MM },
        round_angle: DEFAULT_ROUND_ANGLE.to_radians(),
        welded: WeldedClass::default(),
    }
}

impl<'a> Reader<'a> {
    /// A table that stands once; `None` if it is missing.
    pub fn single(&mut self, name: &str, table: &'static keys::Table) -> Option<Fields<'a>> {
        let node = self.root.get(name).filter(|n| n.get_ref().is_table())?;
        self.open(node, table, format!("[{name}]"))
    }

    /// `[notcher]`; `None` only if it is wrong.
    pub fn notcher(&mut self) -> Option<Notcher> {
        let Some(f) = self.single("notcher", &keys::NOTCHER) else { return Some(Notcher::default()) };
        let square_reads_90 = self.whole(&f, "square_reads") == Some(90);
        let nodes = if f.has("saws") { self.list(&f, "saws")? } else { &[] };
        let saws: Vec<Option<Saw>> = nodes.iter().enumerate().map(|(i, n)| self.saw(n, i)).collect();
        Some(Notcher { square_reads_90, saws: saws.into_iter().collect::<Option<_>>()? })
    }

    fn saw(&mut self, node: &'a Node<'a>, i: usize) -> Option<Saw> {
        let f = self.open(node, &keys::SAW, format!("saw {} of [notcher]", i + 1))?;
        let (od, depth) = (self.number(&f, "od"), self.number(&f, "depth"));
        Some(Saw { od: od?, depth: depth? })
    }

    /// The dies of the file.
    pub fn dies(&mut self) -> Vec<Option<Die>> {
        let items = self.names.dies.items.clone();
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::DIE, format!("die `{}`", clip(item.name)))?;
                self.die(&f, item.name, item.span())
            })
            .collect()
    }

    fn die(&mut self, f: &Fields<'a>, name: &str, span: Span) -> Option<Die> {
        let od = self.number(f, "od");
        let radius = self.number(f, "radius");
        let grip = self.number(f, "grip").unwrap_or(0.0);
        let between = self.number(f, "between").unwrap_or(0.0);
        let max_angle = self.number(f, "max_angle");
        let offset = self.number(f, "offset").unwrap_or(0.0);
        let tests = if f.has("tests") { self.tests(f) } else { Some(Vec::new()) };
        let (od, radius) = (od?, radius?);
        if radius <= od / 2.0 {
            let message = format!("{} bends to a radius within the tube's own outside", f.what);
            let label = format!("must be more than {}, half of `od`", show(od / 2.0, Quantity::Length, self.units));
            self.error(f.span_of("radius"), message, label, "the radius is that of the centreline");
            return None;
        }
        Some(Die { name: name.to_owned(), od, radius, grip, between, max_angle, offset, tests: tests?, span })
    }

    fn tests(&mut self, f: &Fields<'a>) -> Option<Vec<TestBend>> {
        let nodes = self.list(f, "tests")?;
        let read: Vec<Option<TestBend>> = nodes.iter().enumerate().map(|(i, n)| self.test(f, n, i)).collect();
        let mut tests: Vec<(TestBend, Span)> =
            read.into_iter().zip(nodes).map(|(t, n)| Some((t?, n.span()))).collect::<Option<_>>()?;
        tests.sort_by(|a, b| a.0.set.total_cmp(&b.0.set));
        for pair in tests.windows(2) {
            if pair[1].0.got <= pair[0].0.got || pair[1].0.set <= pair[0].0.set {
                let message = format!("the test bends of {} do not rise together", f.what);
                let help = "each angle is tested once, and a larger one set leaves a larger one: check the figures";
                self.error(pair[1].1.clone(), message, "against the next smaller one", help);
                return None;
            }
        }
        Some(tests.into_iter().map(|(t, _)| t).collect())
    }

    fn test(&mut self, die: &Fields<'a>, node: &'a Node<'a>, i: usize) -> Option<TestBend> {
        let f = self.open(node, &keys::TEST, format!("test bend {} of {}", i + 1, die.what))?;
        let (set, got) = (self.number(&f, "set"), self.number(&f, "got"));
        let (set, got) = (set?, got?);
        if got > set {
            let message = format!("{} sprang further than it was bent", f.what);
            let help = "`set` is the angle bent to, `got` the smaller one that stayed";
            self.error(f.span_of("got"), message, "more than `set`", help);
            return None;
        }
        Some(TestBend { set, got })
    }

    /// `[rack]`; `None` only if it is wrong.
    pub fn rack(&mut self) -> Option<Rack> {
        let Some(f) = self.single("rack", &keys::RACK) else { return Some(Rack::default()) };
        let currency = self.text(&f, "currency").unwrap_or_default();
        let kerf = self.number(&f, "kerf");
        let trim = self.number(&f, "trim").unwrap_or(0.0);
        let nodes = if f.has("stick") { self.list(&f, "stick") } else { Some(&[][..]) };
        let sticks: Vec<Option<Stick>> = nodes?.iter().enumerate().map(|(i, n)| self.stick(n, i, trim)).collect();
        let useful = self.number(&f, "useful").unwrap_or(0.0);
        Some(Rack { currency, kerf: kerf?, trim, useful, sticks: sticks.into_iter().collect::<Option<_>>()? })
    }

    fn stick(&mut self, node: &'a Node<'a>, i: usize, trim: f64) -> Option<Stick> {
        let f = self.open(node, &keys::STICK, format!("stick {} of [rack]", i + 1))?;
        let section = f.get("section").and_then(|n| self.name_at(n, f.at("section"), Kind::Section));
        let length = self.number(&f, "length");
        let count = self.whole(&f, "count").and_then(|n| u32::try_from(n).ok());
        let price = self.number(&f, "price").unwrap_or(0.0);
        let place = self.text(&f, "place");
        let ordered = self.flag(&f, "ordered").unwrap_or(false);
        let per = match self.choice(&f, "per") {
            Some("m") => Per::Metre,
            Some("ft") => Per::Foot,
            _ => Per::Stick,
        };
        let cut_fee = self.number(&f, "cut_fee").unwrap_or(0.0);
        let supplier = f.get("supplier").map(|node| self.name_at(node, f.at("supplier"), Kind::Supplier));
        let length = length?;
        if length <= trim {
            let message = format!("{} is no longer than the trim", f.what);
            let label = format!("must be more than {}", show(trim, Quantity::Length, self.units));
            self.error(f.span_of("length"), message, label, "check `length` here and `trim` of [rack]");
            return None;
        }
        if !f.has("count") && !f.has("price") {
            let message = format!("{} can be bought, but has no price: plans count it as free", f.what);
            self.note(f.span.clone(), message, "no `count`, no `price`", "add its price, or how many are on hand");
        }
        if let (true, Some(key)) = (f.has("count"), ["per", "cut_fee", "supplier"].into_iter().find(|k| f.has(k))) {
            let message = format!("{} is on hand and to be bought", f.what);
            let help = "what is on hand is paid for: take the key out, or `count`";
            self.error(f.span_of(key), message, format!("`{key}` is for what is to be bought"), help);
            return None;
        }
        if f.has("ordered") && !f.has("count") {
            let message = format!("{} is ordered, but not how many", f.what);
            self.error(f.span_of("ordered"), message, "needs `count`", "add `count`, or take `ordered` out");
            return None;
        }
        let section = SectionId(section?.0);
        // A name that leads nowhere has been told.
        let supplier = match supplier {
            Some(named) => Some(SupplierId(named?.0)),
            None => None,
        };
        Some(Stick { section, length, count, ordered, price, per, cut_fee, supplier, place, span: f.span })
    }

    /// Suppliers.
    pub fn suppliers(&mut self) -> Vec<Option<Supplier>> {
        let items = self.names.suppliers.items.clone();
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::SUPPLIER, format!("supplier `{}`", clip(item.name)))?;
                let delivery = self.number(&f, "delivery").unwrap_or(0.0);
                let note = self.text(&f, "note");
                Some(Supplier { name: item.name.to_owned(), delivery, note, span: item.span() })
            })
            .collect()
    }

    /// Parts of the build. Each must end after the one before it.
    pub fn stages(&mut self) -> Vec<Option<Stage>> {
        let items = self.names.stages.items.clone();
        let mut last: Option<(TubeId, &str)> = None;
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::STAGE, format!("stage `{}`", clip(item.name)))?;
                let note = self.text(&f, "note");
                let until = f.get("until").and_then(|n| self.tube_at(n, f.at("until")))?;
                if let Some((tube, before)) = last.filter(|l| until.id <= l.0) {
                    let message = format!("{} ends no later than `{}`, which stands before it", f.what, clip(before));
                    let label =
                        format!("not after `{}` in the fitting order", clip(self.names.tubes.items[tube.0].name));
                    let help = "put the stages in the order of the build, each with its last tube";
                    self.error(f.span_of("until"), message, label, help);
                    return None;
                }
                last = Some((until.id, item.name));
                Some(Stage { name: item.name.to_owned(), until, note, span: item.span() })
            })
            .collect()
    }

    /// `[rules]`; `None` only if it is wrong.
    pub fn rule_sets(&mut self) -> Option<Vec<String>> {
        let Some(f) = self.single("rules", &keys::RULES) else { return Some(Vec::new()) };
        let nodes = self.list(&f, "sets")?;
        let mut out: Vec<String> = Vec::new();
        for node in nodes {
            let name = node.get_ref().as_str().map(str::trim).unwrap_or("");
            let (message, label, help) = if name.is_empty() {
                ("`sets` of [rules] holds no name", "a name wanted", "write \"good-practice\" or \"club.toml\"")
            } else if name.ends_with(".toml") && is_outside(name) {
                (
                    "a rule set of [rules] is not in the design's folder",
                    "not a path from there",
                    "put it beside the design",
                )
            } else if out.iter().any(|n| n == name) {
                ("`sets` of [rules] names the same set twice", "a second time", "take it out")
            } else {
                out.push(name.to_owned());
                continue;
            };
            self.error(node.span(), message, label, help);
            return None;
        }
        Some(out)
    }

    /// `[limits]`.
    pub fn limits(&mut self) -> Limits {
        let default = default_limits(self.units);
        let Some(f) = self.single("limits", &keys::LIMITS) else { return default };
        Limits {
            gap: self.number(&f, "gap").unwrap_or(default.gap),
            fit: self.number(&f, "fit").unwrap_or(default.fit),
            touch: self.number(&f, "touch").unwrap_or(default.touch),
            round: self.number(&f, "round").unwrap_or(default.round),
            round_angle: self.number(&f, "round_angle").unwrap_or(default.round_angle),
            welded: {
                let letter = self.choice(&f, "welded");
                WeldedClass::ALL.into_iter().find(|c| Some(c.letter()) == letter).unwrap_or_default()
            },
        }
    }
}
