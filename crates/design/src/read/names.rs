//! Everything that has a name, collected before anything is read; and references to it.

use std::collections::HashMap;

use super::fields::{At, Fields, Node, Reader, clip, or};
use crate::keys::{self, Form, Kind, Value};
use crate::model::{PlateId, PointId, PointRef, Span, TubeId, TubeRef};
use crate::suggest::nearest;

/// Longer names do not fit on a card.
const LONGEST_NAME: usize = 48;

/// Something with a name.
#[derive(Clone)]
pub struct Item<'a> {
    /// Its name.
    pub name: &'a str,
    /// Where the name stands.
    pub key_span: Span,
    /// Its value.
    pub node: &'a Node<'a>,
}

impl Item<'_> {
    /// The place of the definition: a header, or a line's key and value.
    pub fn span(&self) -> Span {
        let node = self.node.span();
        if node.start < self.key_span.start { node } else { self.key_span.start..node.end.max(self.key_span.end) }
    }
}

/// Things of one kind, in file order.
#[derive(Default)]
pub struct Index<'a> {
    /// They.
    pub items: Vec<Item<'a>>,
    by_name: HashMap<&'a str, usize>,
    mirrored: Vec<bool>,
}

impl<'a> Index<'a> {
    fn new(items: Vec<Item<'a>>) -> Self {
        let by_name = items.iter().enumerate().map(|(i, item)| (item.name, i)).collect();
        let flag = |item: &Item<'_>| item.node.get_ref().get("mirror").and_then(|m| m.get_ref().as_bool());
        let mirrored = items.iter().map(|i| flag(i) == Some(true)).collect();
        Index { items, by_name, mirrored }
    }

    /// Position of a name.
    pub fn position(&self, name: &str) -> Option<usize> {
        self.by_name.get(name).copied()
    }

    fn names(&self) -> impl Iterator<Item = &'a str> {
        self.items.iter().map(|i| i.name)
    }
}

/// All names of a file.
#[derive(Default)]
pub struct Names<'a> {
    /// `[material.NAME]`.
    pub materials: Index<'a>,
    /// `[section.NAME]`.
    pub sections: Index<'a>,
    /// Keys of `[point]`.
    pub points: Index<'a>,
    /// `[tube.NAME]`.
    pub tubes: Index<'a>,
    /// `[plate.NAME]`.
    pub plates: Index<'a>,
    /// `[die.NAME]`.
    pub dies: Index<'a>,
    /// `[mass.NAME]`.
    pub masses: Index<'a>,
    /// `[wheel.NAME]`.
    pub wheels: Index<'a>,
    /// `[occupant.NAME]`.
    pub occupants: Index<'a>,
    /// `[stance.NAME]`.
    pub stances: Index<'a>,
    /// `[opening.NAME]`.
    pub openings: Index<'a>,
    /// `[skin.NAME]`.
    pub skins: Index<'a>,
    /// `[curve.NAME]`.
    pub curves: Index<'a>,
    /// `[measure.NAME]`.
    pub measures: Index<'a>,
    /// `[obstacle.NAME]`.
    pub obstacles: Index<'a>,
    /// `[mount.NAME]`.
    pub mounts: Index<'a>,
    /// `[load.NAME]`.
    pub loads: Index<'a>,
    /// `[supplier.NAME]`.
    pub suppliers: Index<'a>,
    /// `[stage.NAME]`.
    pub stages: Index<'a>,
}

impl<'a> Names<'a> {
    /// Those of a kind.
    pub fn of(&self, kind: Kind) -> &Index<'a> {
        match kind {
            Kind::Material => &self.materials,
            Kind::Section => &self.sections,
            Kind::Point => &self.points,
            Kind::Tube => &self.tubes,
            Kind::Plate => &self.plates,
            Kind::Die => &self.dies,
            Kind::Mass => &self.masses,
            Kind::Wheel => &self.wheels,
            Kind::Occupant => &self.occupants,
            Kind::Supplier => &self.suppliers,
        }
    }
}

const REFERRED: [Kind; 10] = [
    Kind::Point,
    Kind::Tube,
    Kind::Section,
    Kind::Material,
    Kind::Plate,
    Kind::Die,
    Kind::Mass,
    Kind::Wheel,
    Kind::Occupant,
    Kind::Supplier,
];

impl<'a> Reader<'a> {
    /// Collects all names, and says which of them can't be names.
    pub fn collect_names(&mut self) -> Names<'a> {
        Names {
            materials: self.items("material"),
            sections: self.items("section"),
            points: self.items("point"),
            tubes: self.items("tube"),
            plates: self.items("plate"),
            dies: self.items("die"),
            masses: self.items("mass"),
            wheels: self.items("wheel"),
            occupants: self.items("occupant"),
            stances: self.items("stance"),
            openings: self.items("opening"),
            skins: self.items("skin"),
            curves: self.items("curve"),
            measures: self.items("measure"),
            obstacles: self.items("obstacle"),
            mounts: self.items("mount"),
            loads: self.items("load"),
            suppliers: self.items("supplier"),
            stages: self.items("stage"),
        }
    }

    /// The entries of a table with names, each opened; one that is no table is told and left out.
    pub fn entries(&mut self, table: &str) -> Vec<(Item<'a>, Fields<'a>)> {
        let Some(top) = self.top(table) else { return Vec::new() };
        let items = self.items(table).items;
        let open = |i: Item<'a>| {
            let f = self.open(i.node, top.table, format!("{table} `{}`", i.name))?;
            Some((i, f))
        };
        items.into_iter().filter_map(open).collect()
    }

    /// The entries of a table in file order; says which of them can't be names.
    pub fn items(&mut self, table: &str) -> Index<'a> {
        let Some(node) = self.root.get(table) else { return Index::default() };
        let (Some(entries), Some(top)) = (node.get_ref().as_table(), self.top(table)) else { return Index::default() };
        if entries.len() > top.most {
            let message = format!("the file has {} entries under [{table}]", entries.len());
            let help = "check that it is a design file; split what is drawn by a program into several designs";
            self.error(node.span(), message, format!("at most {} are read", top.most), help);
            return Index::default();
        }
        let mut items = Vec::with_capacity(entries.len());
        for (key, node) in entries {
            let name = key.get_ref().as_ref();
            let bare = !node.get_ref().is_table() && top.form == Form::Named;
            if bare && top.table.key(name).is_some() {
                let message = format!("[{table}] has a key `{name}` but no name");
                self.error(key.span(), message, format!("of which {table}?"), format!("name it: [{table}.NAME]"));
            } else {
                self.check_name(name, key.span(), table);
                items.push(Item { name, key_span: key.span(), node });
            }
        }
        // The map is sorted by name; the file's order is the order of fitting.
        items.sort_by_key(|i| i.key_span.start);
        Index::new(items)
    }

    fn check_name(&mut self, name: &str, span: Span, table: &str) {
        if let Some(base) = name.strip_suffix('~') {
            let help = match table {
                "tube" | "plate" | "mass" | "wheel" | "occupant" | "opening" | "skin" | "curve" => {
                    format!("set `mirror = true` under [{table}.{}] and take this one out", clip(base))
                }
                "point" => format!("take this one out: `{}~` is there as soon as `{0}` is", clip(base)),
                _ => format!("a {table} has no twin: use `{}` on both sides", clip(base)),
            };
            let message = format!("`{}` is a twin, and never defined on its own", clip(name));
            self.error(span, message, "ends in `~`", help);
            return;
        }
        let first = name.chars().next().is_some_and(|c| c.is_ascii_alphabetic());
        let rest = name.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '_' | '-'));
        if !(first && rest) {
            let suggestion: String =
                name.chars().take(LONGEST_NAME).map(|c| if c.is_ascii_alphanumeric() { c } else { '_' }).collect();
            let suggestion = if first { suggestion } else { format!("{}_{suggestion}", &table[..1]) };
            let message = format!("`{}` under [{table}] can't be a name", clip(name));
            let label = if first { "letters, digits, `_` and `-` only" } else { "must start with a letter a to z" };
            self.error(span, message, label, format!("call it `{suggestion}`"));
        } else if name.len() > LONGEST_NAME {
            let message = format!("the name of {table} `{}` has {} letters", clip(name), name.len());
            self.error(span, message, format!("at most {LONGEST_NAME} fit on a card"), "use a shorter name");
        }
    }

    /// A reference to a point.
    pub fn point_at(&mut self, node: &Node<'_>, at: At<'_>) -> Option<PointRef> {
        let (id, twin) = self.name_at(node, at, Kind::Point)?;
        Some(PointRef { id: PointId(id), twin, span: node.span() })
    }

    /// A reference to a tube.
    pub fn tube_at(&mut self, node: &Node<'_>, at: At<'_>) -> Option<TubeRef> {
        let (id, twin) = self.name_at(node, at, Kind::Tube)?;
        Some(TubeRef { id: TubeId(id), twin, span: node.span() })
    }

    /// A reference to a plate, and whether its twin is meant.
    pub fn plate_at(&mut self, node: &Node<'_>, at: At<'_>) -> Option<(PlateId, bool)> {
        let (id, twin) = self.name_at(node, at, Kind::Plate)?;
        Some((PlateId(id), twin))
    }

    /// A reference: position in its index, and whether the twin is meant.
    pub fn name_at(&mut self, node: &Node<'_>, at: At<'_>, kind: Kind) -> Option<(usize, bool)> {
        let table = kind.table();
        let Some(written) = node.get_ref().as_str() else {
            self.wrong_type(node, at, &Value::Name(kind));
            return None;
        };
        let (name, twin) = match written.strip_suffix('~') {
            Some(name) => (name, true),
            None => (written, false),
        };
        let Some(position) = self.names.of(kind).position(name) else {
            // The search for a near name costs too much to be made in vain.
            if self.is_full() {
                self.leave_out()
            } else {
                self.dangling(node, at, &[kind], name, twin)
            }
            return None;
        };
        if !twin || kind == Kind::Point {
            return Some((position, twin));
        }
        if !matches!(kind, Kind::Tube | Kind::Plate | Kind::Mass | Kind::Occupant) {
            let help = format!("write \"{name}\"");
            self.error(node.span(), format!("{at} names a twin, but a {table} has none"), "ends in `~`", help);
            return None;
        }
        if !self.names.of(kind).mirrored[position] {
            let message = format!("there is no `{name}~`: {table} `{name}` is not mirrored");
            let help = format!("set `mirror = true` under [{table}.{name}], or write \"{name}\"");
            self.error(node.span(), message, format!("the twin of a {table} without one"), help);
            return None;
        }
        Some((position, true))
    }

    /// The name of something of several kinds, without its twin's mark: the first kind that has it, its position there,
    /// and whether the twin is named.
    pub fn name_among(&mut self, node: &Node<'_>, at: At<'_>, kinds: &'static [Kind]) -> Option<(Kind, usize, bool)> {
        let Some(written) = node.get_ref().as_str() else {
            self.wrong_type(node, at, &Value::NameOf(kinds));
            return None;
        };
        let bare = written.strip_suffix('~');
        let (name, twin) = (bare.unwrap_or(written), bare.is_some());
        let found = kinds.iter().find_map(|k| Some((*k, self.names.of(*k).position(name)?, twin)));
        if found.is_none() {
            if self.is_full() { self.leave_out() } else { self.dangling(node, at, kinds, name, false) }
        }
        found
    }

    /// Whether the file defines the name in a place that was refused: then one error is enough.
    fn is_refused(&self, kind: Kind, name: &str) -> bool {
        let misspelt = |top: &str| keys::top(top).is_none() && nearest(top, [kind.table()]).is_some();
        self.names.of(kind).position(&format!("{name}~")).is_some()
            || self.root.iter().any(|(top, node)| misspelt(top.get_ref()) && node.get_ref().get(name).is_some())
    }

    fn dangling(&mut self, node: &Node<'_>, at: At<'_>, kinds: &[Kind], name: &str, twin: bool) {
        if kinds.iter().any(|k| self.is_refused(*k, name)) && !self.is_clean() {
            return;
        }
        let table = or(kinds.iter().map(|k| k.table().to_owned()));
        let message = format!("{at} names {table} `{}`, which is not there", clip(name));
        let other = REFERRED.into_iter().find(|k| !kinds.contains(k) && self.names.of(*k).position(name).is_some());
        let help = if let Some(near) = nearest(name, kinds.iter().flat_map(|k| self.names.of(*k).names())) {
            format!("did you mean `{near}{}`?", if twin { "~" } else { "" })
        } else if let Some(other) = other {
            format!("`{name}` is a {}: name a {table} here", other.table())
        } else if kinds == [Kind::Point] {
            format!("add it under [point]: {} = [x, y, z]", clip(name))
        } else {
            format!("add it as {}", or(kinds.iter().map(|k| format!("[{}.{}]", k.table(), clip(name)))))
        };
        self.error(node.span(), message, format!("no such {table}"), help);
    }
}
