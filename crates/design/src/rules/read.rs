//! From text to [`RuleSet`].

use std::sync::Arc;

use super::{
    AngleTo, Ask, Faces, Given, Known, LeastSection, Limits, LoadWants, Measure, Part, Place, Role, RoleId, RoomOf,
    Rule, RuleSet, Seen, WithMass, keys,
};
use crate::model::Units;
use crate::problem::{Problem, Severity};
use crate::read::{Fields, Item, Reader, parse};
use crate::suggest::nearest;

/// Young's modulus of steel where the set does not say, Pa: what student rules count with.
const YOUNGS: f64 = 200e9;

/// Reads a rule set.
///
/// # Errors
/// All that is wrong with it: a set is used whole or not at all.
pub fn read(text: &str) -> Result<RuleSet, Vec<Problem>> {
    let root = parse(text)?;
    let units = root.get("rules").and_then(|d| d.get_ref().get("units")).and_then(|u| u.get_ref().as_str());
    let units = if units == Some("in") { Units::In } else { Units::Mm };
    let mut r = Reader::of(&root, keys::TOPS, "rule set", units);
    r.check_tops();
    let mut s = Sheet { r, roles: Vec::new(), per: if units == Units::In { 0.0254 } else { 1e-3 } };
    let set = s.set(text, units);
    let problems = s.r.into_problems();
    match set {
        Some(set) if problems.iter().all(|p| p.severity < Severity::Error) => Ok(set),
        _ => Err(problems),
    }
}

struct Sheet<'a> {
    r: Reader<'a>,
    /// Names of the roles.
    roles: Vec<String>,
    /// The unit of length, m.
    per: f64,
}

impl<'a> Sheet<'a> {
    fn set(&mut self, text: &str, units: Units) -> Option<RuleSet> {
        let node = self.r.root.get("rules").filter(|n| n.get_ref().is_table())?;
        let head = self.r.open(node, &keys::RULES, "[rules]".to_owned())?;
        self.r.choice(&head, "units");
        let [name, edition, whose] = ["name", "edition", "whose"].map(|k| self.r.text(&head, k));
        let note = self.r.text(&head, "note");
        let roles = self.r.entries("role");
        self.roles = roles.iter().map(|(i, _)| i.name.to_owned()).collect();
        let roles: Vec<Option<Role>> = roles.iter().map(|(i, f)| self.role(i, f)).collect();
        let mut rules = Vec::new();
        for top in keys::TOPS.iter().filter(|t| !["rules", "role"].contains(&t.name)) {
            for (i, f) in self.r.entries(top.name) {
                rules.push(self.rule(top.name, &i, &f));
            }
        }
        let mut rules = rules.into_iter().collect::<Option<Vec<Rule>>>()?;
        // As they stand in the file.
        rules.sort_by_key(|r| r.span.start);
        Some(RuleSet {
            source: Arc::from(text),
            name: name?,
            edition: edition?,
            whose: whose?,
            units,
            note,
            roles: roles.into_iter().collect::<Option<_>>()?,
            rules,
        })
    }

    fn words(&mut self, f: &Fields<'a>, key: &str) -> Option<Vec<String>> {
        let nodes = self.r.list(f, key)?;
        let mut out = Vec::new();
        for node in nodes {
            match node.get_ref().as_str().map(str::trim).filter(|t| !t.is_empty()) {
                Some(text) => out.push(text.to_lowercase()),
                None => {
                    self.r.error(
                        node.span(),
                        format!("`{key}` of {} holds no words", f.what),
                        "text wanted",
                        "write \"main hoop\"",
                    );
                    return None;
                }
            }
        }
        Some(out)
    }

    fn role(&mut self, item: &Item<'a>, f: &Fields<'a>) -> Option<Role> {
        let words = self.words(f, "words");
        let without = if f.has("without") { self.words(f, "without") } else { Some(Vec::new()) };
        let about = self.r.text(f, "about");
        let meets = match self.r.text(f, "meets") {
            Some(name) => Some(self.role_named(&name, f, "meets", f.span_of("meets"))?),
            None if f.has("meets") => return None,
            None => None,
        };
        if meets.is_some_and(|m| self.roles[m.0] == item.name) {
            let message = format!("{} meets itself", f.what);
            self.r.error(f.span_of("meets"), message, "the same role", "name the role of the tube that it ends on");
            return None;
        }
        Some(Role { name: item.name.to_owned(), words: words?, without: without?, meets, about, span: item.span() })
    }

    fn role_named(&mut self, name: &str, f: &Fields<'a>, key: &str, span: crate::model::Span) -> Option<RoleId> {
        if let Some(i) = self.roles.iter().position(|r| r == name) {
            return Some(RoleId(i));
        }
        let help = match nearest(name, self.roles.iter().map(String::as_str)) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("add [role.{name}] with the words that tubes have it by"),
        };
        self.r.error(
            span,
            format!("`{key}` of {} names role `{name}`, which is not there", f.what),
            "no such role",
            help,
        );
        None
    }

    fn roles_at(&mut self, f: &Fields<'a>, key: &str) -> Option<Vec<RoleId>> {
        let nodes = self.r.list(f, key)?;
        let mut out = Vec::new();
        for node in nodes {
            let Some(name) = node.get_ref().as_str() else {
                let message = format!("`{key}` of {} holds no role's name", f.what);
                self.r.error(node.span(), message, "a role wanted", "write \"main_hoop\"");
                return None;
            };
            out.push(self.role_named(name, f, key, node.span())?);
        }
        Some(out)
    }

    /// A key of the table, if it has it and it is there.
    fn may(
        &mut self,
        f: &Fields<'a>,
        key: &str,
        read: impl Fn(&mut Self, &Fields<'a>, &str) -> Option<Vec<RoleId>>,
    ) -> Option<Vec<RoleId>> {
        if f.has(key) { read(self, f, key) } else { Some(Vec::new()) }
    }

    fn number(&mut self, f: &Fields<'a>, key: &str) -> Option<f64> {
        self.r.number(f, key)
    }

    /// A plain number in the set's unit of length, to a power.
    fn powered(&mut self, f: &Fields<'a>, key: &str, power: i32) -> Option<f64> {
        self.r.number(f, key).map(|v| v * self.per.powi(power))
    }

    fn whole(&mut self, f: &Fields<'a>, key: &str) -> Option<usize> {
        self.r.whole(f, key).and_then(|n| usize::try_from(n).ok())
    }

    fn limits(&mut self, f: &Fields<'a>, [least, most]: [&str; 2]) -> Limits {
        let limits = Limits { least: self.number(f, least), most: self.number(f, most) };
        if let (Some(a), Some(b)) = (limits.least, limits.most)
            && a > b
        {
            let message = format!("nothing can hold {}: its least is more than its most", f.what);
            self.r.error(f.span_of(most), message, "less than the least", "change one of the two");
        }
        limits
    }

    /// Says so if none of the keys that would make it a rule is there.
    fn wants(&mut self, f: &Fields<'a>, keys: &[&str]) {
        if f.present(keys).is_empty() {
            let help = format!("add one of {}", keys.iter().map(|k| format!("`{k}`")).collect::<Vec<_>>().join(", "));
            self.r.error(f.span.clone(), format!("{} wants nothing", f.what), "no limit", help);
        }
    }

    fn rule(&mut self, kind: &str, item: &Item<'a>, f: &Fields<'a>) -> Option<Rule> {
        let clause = self.r.text(f, "clause");
        let known = self.r.choice(f, "known").and_then(|w| Known::ALL.into_iter().find(|k| k.word() == w));
        let says = self.r.text(f, "says");
        let ask = match kind {
            "section" => self.section(f),
            "equal" => self.equal(f),
            "bend" => self.bend(f),
            "angle" => self.angle(f),
            "distance" => self.distance(f),
            "span" => {
                let (of, most) = (self.roles_at(f, "of"), self.number(f, "most"));
                of.zip(most).map(|(of, most)| Ask::Span { of, most })
            }
            "count" => {
                self.wants(f, &["least", "most"]);
                let each_side = self.r.flag(f, "each_side").unwrap_or(false);
                let (least, most) = (self.whole(f, "least"), self.whole(f, "most"));
                self.roles_at(f, "of").map(|of| Ask::Count { of, each_side, least, most })
            }
            "room" => {
                let (of, least) = (self.r.choice(f, "of"), self.number(f, "least"));
                let of = of.map(|w| match w {
                    "helmet to line between hoops" => RoomOf::BetweenHoops,
                    "helmet to line to braces" => RoomOf::ToBraces,
                    "helmet behind main hoop" => RoomOf::BehindMainHoop,
                    "helmet" => RoomOf::Helmet,
                    _ => RoomOf::Body,
                });
                of.zip(least).map(|(of, least)| Ask::Room { of, least })
            }
            "plate" => {
                self.wants(f, &["area", "thickness", "holes"]);
                let area = self.powered(f, "area", 2);
                let (thickness, holes) = (self.number(f, "thickness"), self.whole(f, "holes"));
                self.roles_at(f, "of").map(|of| Ask::Plate { of, area, thickness, holes })
            }
            "load" => {
                let wants = self.load(f);
                self.r.text(f, "load").zip(wants).map(|(load, wants)| Ask::Load { load, wants })
            }
            _ => Some(Ask::ByEye),
        };
        Some(Rule { name: item.name.to_owned(), clause: clause?, known: known?, says, ask: ask?, span: item.span() })
    }

    fn section(&mut self, f: &Fields<'a>) -> Option<Ask> {
        self.wants(f, &["od", "wall", "sizes", "area", "inertia", "yield", "tensile"]);
        let sizes = if f.has("sizes") { self.sizes(f) } else { Some(Vec::new()) };
        let least = LeastSection {
            sizes: sizes?,
            od: self.number(f, "od"),
            wall: self.number(f, "wall"),
            area: self.powered(f, "area", 2),
            inertia: self.powered(f, "inertia", 4),
            area_to: self.powered(f, "area_to", 2),
            inertia_to: self.powered(f, "inertia_to", 4),
            yield_strength: self.number(f, "yield"),
            tensile_strength: self.number(f, "tensile"),
        };
        self.roles_at(f, "of").map(|of| Ask::Section { of, least })
    }

    fn sizes(&mut self, f: &Fields<'a>) -> Option<Vec<[f64; 2]>> {
        let nodes = self.r.list(f, "sizes")?;
        let read: Vec<_> =
            nodes.iter().enumerate().map(|(i, n)| self.r.pair_at(n, f.at("sizes").nth(i), &keys::SIZE)).collect();
        read.into_iter().map(|p| p.map(|p| p.to_array())).collect()
    }

    fn equal(&mut self, f: &Fields<'a>) -> Option<Ask> {
        let of = self.roles_at(f, "of");
        let [od, wall, yield_strength, tensile_strength] =
            ["od", "wall", "yield", "tensile"].map(|k| self.number(f, k));
        let youngs = self.number(f, "youngs").unwrap_or(YOUNGS);
        let [welded_yield, welded_tensile] = ["welded_yield", "welded_tensile"].map(|k| self.number(f, k));
        let any_steel = self.r.flag(f, "any_steel").unwrap_or(false);
        let by = if f.has("by") { self.measures(f) } else { Some(Measure::ALL.to_vec()) };
        let (od, wall) = (od?, wall?);
        if 2.0 * wall >= od {
            let message = format!("the wall of {} is more than half of its diameter", f.what);
            self.r.error(f.span_of("wall"), message, "no room inside", "check `od` and `wall`");
            return None;
        }
        let given = Given {
            od,
            wall,
            youngs,
            yield_strength: yield_strength?,
            tensile_strength: tensile_strength?,
            welded_yield,
            welded_tensile,
            any_steel,
        };
        Some(Ask::Equal { of: of?, given, by: by? })
    }

    fn measures(&mut self, f: &Fields<'a>) -> Option<Vec<Measure>> {
        let value = crate::keys::Value::Choice(keys::MEASURES);
        let nodes = self.r.list(f, "by")?;
        let words: Vec<Option<&str>> =
            nodes.iter().enumerate().map(|(i, n)| self.r.choice_at(n, f.at("by").nth(i), &value)).collect();
        words.into_iter().map(|w| Measure::ALL.into_iter().find(|m| Some(m.word()) == w)).collect()
    }

    fn load(&mut self, f: &Fields<'a>) -> Option<LoadWants> {
        self.wants(f, &["moves", "use", "buckling", "force", "energy"]);
        let [moves, stress, buckling, mass_over, mass_to] =
            ["moves", "use", "buckling", "mass_over", "mass_to"].map(|k| self.number(f, k));
        let [force, energy] =
            ["force", "energy"].map(|k| if f.has(k) { self.with_mass(f, k).map(Some) } else { Some(None) });
        Some(LoadWants { moves, stress, buckling, force: force?, energy: energy?, mass_over, mass_to })
    }

    fn with_mass(&mut self, f: &Fields<'a>, key: &str) -> Option<WithMass> {
        let t = self.r.table(f, key, format!("`{key}` of {}", f.what))?;
        let (times, at, power) = (self.number(&t, "times"), self.number(&t, "at"), self.number(&t, "power"));
        Some(WithMass { times: times?, at: at.unwrap_or(1.0), power: power.unwrap_or(1.0) })
    }

    fn bend(&mut self, f: &Fields<'a>) -> Option<Ask> {
        self.wants(f, &["radius", "most", "sum_least", "sum_most"]);
        let (radius, most) = (self.number(f, "radius"), self.whole(f, "most"));
        let sum = self.limits(f, ["sum_least", "sum_most"]);
        self.roles_at(f, "of").map(|of| Ask::Bend { of, radius, most, sum })
    }

    fn angle(&mut self, f: &Fields<'a>) -> Option<Ask> {
        self.wants(f, &["least", "most"]);
        let of = self.roles_at(f, "of");
        let from = self.r.choice(f, "from");
        let with = self.may(f, "with", Self::roles_at);
        let seen = self.r.choice(f, "seen").map(|w| match w {
            "side" => Seen::Side,
            "front" => Seen::Front,
            _ => Seen::Above,
        });
        let (above, below) = (self.may(f, "above", Self::roles_at), self.may(f, "below", Self::roles_at));
        let limits = self.limits(f, ["least", "most"]);
        let to = match (f.has("from"), f.has("with")) {
            (true, false) => match from? {
                "vertical" => AngleTo::Vertical,
                "level" => AngleTo::Level,
                _ => AngleTo::Forward,
            },
            (false, true) => AngleTo::Tubes(with?),
            _ => {
                let help = "write from = \"vertical\", \"level\" or \"forward\", or with = a role";
                self.r.error(
                    f.span.clone(),
                    format!("{} is measured to nothing, or to two things", f.what),
                    "to what?",
                    help,
                );
                return None;
            }
        };
        if f.has("above") && f.has("below") {
            let message = format!("{} is of legs above and below", f.what);
            self.r.error(f.span_of("below"), message, "one too many", "make it two rules");
            return None;
        }
        let part = match (above?, below?) {
            (of, _) if !of.is_empty() => Some(Part { above: true, of }),
            (_, of) if !of.is_empty() => Some(Part { above: false, of }),
            _ => None,
        };
        Some(Ask::Angle { of: of?, to, seen, part, limits })
    }

    fn distance(&mut self, f: &Fields<'a>) -> Option<Ask> {
        self.wants(f, &["least", "most"]);
        let (of, to) = (self.roles_at(f, "of"), self.roles_at(f, "to"));
        let place = |w: &str| match w {
            "top" => Place::Top,
            "foot" => Place::Foot,
            "joint" => Place::Joint,
            _ => Place::Anywhere,
        };
        let (at, to_at) = (self.r.choice(f, "at").map(place), self.r.choice(f, "to_at").map(place));
        let along = self.r.choice(f, "along").and_then(|a| ["x", "y", "z"].iter().position(|x| *x == a));
        let between = match self.r.choice(f, "between") {
            Some("insides") => Faces::Insides,
            Some("outsides") => Faces::Outsides,
            _ => Faces::Centres,
        };
        let limits = self.limits(f, ["least", "most"]);
        let (of, to, at, to_at) = (of?, to?, at?, to_at?);
        if at == Place::Anywhere && to_at == Place::Anywhere {
            let message = format!("{} is from anywhere to anywhere", f.what);
            let help = "say which place of one of them: top, foot or joint";
            self.r.error(f.span_of("to_at"), message, "one must be a place", help);
            return None;
        }
        if of == to && at == Place::Anywhere {
            let message = format!("{} is from a tube to itself", f.what);
            self.r.error(f.span_of("at"), message, "anywhere of the same tube", "write \"foot\", or name another role");
            return None;
        }
        Some(Ask::Distance { of, at, to, to_at, along, between, limits })
    }
}
