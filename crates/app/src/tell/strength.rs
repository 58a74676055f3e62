//! Is it stiff and strong enough, and which tube would help most?

use design::Edit;
use review::{Review, Text, pushed};
use strength::{Advice, Answer, Solved};

use super::{held, number, row, table, text};
use crate::wire::{Act, Cell, Page, Row, Table, Word};

const CAUTION: &str = "A calculation on an ideal frame, and no test. Left out: the welds that were made and the weakened metal beside \
them, fatigue, dynamic effects, dents, tubes out of round, the give of walls at joints, residual stress, temperature, scatter of the \
material. Local rules and a licensed engineer prevail.";

/// The most used tubes that are listed of a load.
const USED: usize = 6;
/// Tubes listed by their share of a rig's energy.
const SHARES: usize = 8;
/// Braces for each aim, and tubes missed least.
const BEST: usize = 3;
/// See [`BEST`].
const LEAST: usize = 8;

pub fn page(r: &Review, t: &Text) -> Page {
    let a = &r.strength;
    let mut tables = vec![loads(t, a), not_loaded(a)];
    tables.extend(rig(t, a));
    tables.extend(a.advice.iter().flat_map(|v| [braces(r, t, v), missed(t, v)]));
    tables.extend(collapse(t, a));
    tables.push(vibration(a));
    tables.extend(a.cases.iter().map(|c| used(t, c)));
    let worst = a.cases.iter().filter_map(|c| Some((c, c.used.first()?))).max_by(|x, y| {
        let part = |(c, u): &(&Solved, &strength::Used)| u.stress.utilisation / c.wanted.utilisation;
        part(x).total_cmp(&part(y))
    });
    let mut lead = worst.map_or(String::new(), |(c, u)| {
        let limit = 100.0 * c.wanted.utilisation;
        let of =
            if (limit - 100.0).abs() < 0.5 { String::new() } else { format!(", of {limit:.0} % that are allowed") };
        format!("Most used: {} at {:.0} % of yielding under {}{of}.", u.tube, 100.0 * u.stress.utilisation, c.name)
    });
    if let Some(rig) = &a.rig {
        lead += &format!(" Torsion {}.", t.torsion(rig.torsion));
    }
    super::page(
        Word::Strength,
        "Is it stiff and strong enough, and which tube would help most?",
        lead,
        tables,
        &[CAUTION],
    )
}

fn factor(f: f64) -> String {
    if f >= 100.0 { format!("{f:.0}") } else { format!("{f:.2}") }
}

fn loads(t: &Text, a: &Answer) -> Table {
    let u = t.unit();
    let rows = a.cases.iter().map(|c| {
        let over = c.over();
        let is = |o: strength::Over| over.contains(&o);
        let verdict = c.verdict();
        let verdict = match verdict.as_str() {
            v if v.starts_with("over") => Cell::Over(verdict),
            v if v.contains("not checked") => Cell::NotChecked(verdict),
            _ => text(verdict),
        };
        let first = c.used.first();
        let cells = vec![
            text(&c.name),
            verdict,
            text(first.map_or_else(String::new, |u| u.tube.clone())),
            held(
                first.map_or_else(String::new, |u| {
                    let (use_, limit) = (100.0 * u.stress.utilisation, 100.0 * c.wanted.utilisation);
                    if (limit - 100.0).abs() < 0.5 {
                        format!("{use_:.0} %")
                    } else {
                        format!("{use_:.0} of {limit:.0} %")
                    }
                }),
                is(strength::Over::Use),
            ),
            held(t.fine_number(c.moved.by.length()), is(strength::Over::Way)),
            held(c.buckling.as_ref().map_or(String::new(), |b| factor(b.factor)), is(strength::Over::Buckling)),
        ];
        let act = Act::Moved { words: "show it".to_owned(), load: c.name.clone() };
        row(&c.name, cells).tubes(first.map(|u| u.tube.clone())).at(c.moved.at).act(Some(act))
    });
    let head = ["load", "it is", "most used", "use", &format!("moves {u}"), "buckles at × load"];
    table("loads", "Loads", &head, rows.collect())
        .note("Use: of the yield strength, and how much of it is allowed where that is not all.")
}

fn not_loaded(a: &Answer) -> Table {
    let rows =
        a.without.iter().map(|n| row(&n.name, vec![text(&n.name), Cell::NotChecked(n.why.clone()), text(&n.help)]));
    table("not-checked", "Loads that were not checked", &["load", "why", "what to do"], rows.collect())
}

fn rig(t: &Text, a: &Answer) -> Option<Table> {
    let r = a.rig.as_ref()?;
    let [fl, fr, rl, rr] = &r.places;
    let share = |s: &[(String, f64)], i: usize| {
        s.get(i).map_or([text(""), number("")], |(n, p)| [text(n), number(format!("{:.1} %", 100.0 * p))])
    };
    let rows = (0..SHARES.min(r.torsion_shares.len().max(r.bending_shares.len()))).map(|i| {
        let tubes = [&r.torsion_shares, &r.bending_shares].into_iter().filter_map(|s| s.get(i).map(|x| x.0.clone()));
        row(format!("share {i}"), [share(&r.torsion_shares, i), share(&r.bending_shares, i)].concat()).tubes(tubes)
    });
    let note = format!(
        "Held at {rl} and {rr}, loaded at {fl} and {fr}. Torsion {}: a couple at the front for its twist against the rear. Bending \
         {}: a force in the middle for its sag.",
        t.torsion(r.torsion),
        t.rate(r.bending)
    );
    let head = ["torsion: tube", "share of the give", "bending: tube", "share of the give"];
    Some(table("rig", "On the rig", &head, rows.collect()).note(note))
}

fn percent(x: f64) -> String {
    let tenths = (1000.0 * x).round();
    if tenths == 0.0 { "0.0 %".to_owned() } else { format!("{:+.1} %", tenths / 10.0) }
}

fn gains(v: &Advice) -> Vec<String> {
    let mut out: Vec<String> = v.aims.iter().filter(|a| *a == "torsion" || *a == "bending").cloned().collect();
    out.push("largest use".to_owned());
    out
}

fn braces(r: &Review, t: &Text, v: &Advice) -> Table {
    let names = gains(v);
    let rows = v.shown(BEST).into_iter().map(|i| {
        let b = &v.braces[i];
        let twin = if b.twin { " and its twin" } else { "" };
        let mut cells = vec![
            text(format!("{} to {}{twin}", b.joins[0], b.joins[1])),
            number(t.mass(b.mass)),
            text(v.best_for(i).0),
        ];
        for n in &names[..names.len() - 1] {
            let k = v.aims.iter().position(|a| a == n);
            cells.push(number(k.and_then(|k| b.gains.get(k)).map_or(String::new(), |g| percent(*g))));
        }
        cells.push(number(b.used.map_or(String::new(), |u| format!("{:.0} %", 100.0 * u))));
        row(format!("{} {}", b.joins[0], b.joins[1]), cells).act(add(r, v, i))
    });
    let mut head: Vec<&str> = vec!["from, to", "mass", "best for"];
    head.extend(names.iter().map(String::as_str));
    let now = v.now.as_ref().map_or(String::new(), |n| {
        format!(" The largest use now is {:.0} % of its limit, {} under {}.", 100.0 * n.part, n.tube, n.load)
    });
    table("braces", "Tubes that would help most", &head, rows.collect())
        .note(format!("Of {}, straight between joints; {} were looked at.{now}", v.section, v.looked_at))
}

/// What adds a brace to the design: points at its ends where there are none of that name, and the tube.
fn add(r: &Review, v: &Advice, i: usize) -> Option<Act> {
    let b = &v.braces[i];
    let d = &r.shape.design;
    let free = |wanted: String, known: &dyn Fn(&str) -> bool| {
        std::iter::once(wanted.clone()).chain((2..).map(|k| format!("{wanted}_{k}"))).find(|n| !known(n))
    };
    let mut edits = Vec::new();
    let mut path = Vec::new();
    for (name, &node) in b.joins.iter().zip(b.nodes.first()?) {
        let plain = name.trim_end_matches('~');
        if d.points.iter().any(|p| p.name == plain) {
            path.push(name.clone());
            continue;
        }
        let at = r.strength.nodes.get(node)?.1;
        let word: String = plain.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '_' }).collect();
        let new = free(format!("at_{word}"), &|n| d.points.iter().any(|p| p.name == n))?;
        edits.push(Edit::AddPoint { point: new.clone(), at: at.to_array() });
        path.push(new);
    }
    let tube = free("brace".to_owned(), &|n| d.tubes.iter().any(|t| t.name == n))?;
    edits.push(Edit::AddTube { tube: tube.clone(), section: v.section.clone(), path, before: None });
    if b.twin {
        edits.push(Edit::SetKey {
            table: "tube".to_owned(),
            name: Some(tube.clone()),
            key: vec!["mirror".to_owned()],
            value: design::Setting::Flag(true),
        });
    }
    let what = format!("added {tube}, {} to {}", b.joins[0], b.joins[1]);
    Some(Act::Edit { words: "add it".to_owned(), what, edits })
}

fn missed(t: &Text, v: &Advice) -> Table {
    let names = gains(v);
    let rows = v.losses.iter().filter(|l| l.losses.is_some()).take(LEAST).map(|l| {
        let mut cells =
            vec![text(format!("{}{}", l.tube, if l.twin { " and its twin" } else { "" })), number(t.mass(l.mass))];
        for n in &names[..names.len() - 1] {
            let k = v.aims.iter().position(|a| a == n);
            let lost = k.and_then(|k| l.losses.as_ref()?.get(k).copied());
            cells.push(number(lost.map_or(String::new(), |g| percent(-g))));
        }
        cells.push(number(l.used.map_or(String::new(), |u| format!("{:.0} %", 100.0 * u))));
        row(&l.tube, cells).tube(&l.tube)
    });
    let mut head: Vec<&str> = vec!["without", "saves"];
    head.extend(names.iter().map(String::as_str));
    table("missed", "Tubes that are missed least", &head, rows.collect())
}

fn collapse(t: &Text, a: &Answer) -> Option<Table> {
    let rows: Vec<Row> = a
        .cases
        .iter()
        .filter_map(|c| Some((c, c.crushed.as_ref()?)))
        .flat_map(|(c, x)| {
            let show = Act::Crushed { words: "show it step by step".to_owned(), load: c.name.clone() };
            let told = pushed(t, c, x).into_iter().enumerate().map(move |(k, s)| {
                row(format!("{} {k}", c.name), vec![text(if k == 0 { &c.name } else { "" }), text(s)])
                    .act((k == 0).then(|| show.clone()))
            });
            let hinges = x.hinges.iter().enumerate().map(|(k, h)| {
                let words = format!(
                    "hinge {}: {} at {} times the load, at {}",
                    k + 1,
                    h.tube,
                    factor(h.factor),
                    t.fine(h.travel)
                );
                row(format!("{} hinge {k}", c.name), vec![text(""), text(words)]).tube(&h.tube).at(h.at)
            });
            told.chain(hinges).collect::<Vec<_>>()
        })
        .collect();
    (!rows.is_empty()).then(|| table("collapse", "Pushed past yielding", &["load", ""], rows))
}

fn vibration(a: &Answer) -> Table {
    let rows = a.vibration.iter().enumerate().map(|(i, v)| {
        let tubes: Vec<String> = v.tubes.iter().map(|(n, p)| format!("{n} {:.0} %", 100.0 * p)).collect();
        row(
            format!("mode {i}"),
            vec![number((i + 1).to_string()), number(format!("{:.2}", v.frequency)), text(tubes.join(", "))],
        )
        .tubes(v.tubes.iter().map(|t| t.0.clone()))
    });
    table("vibration", "Natural frequencies", &["", "Hz", "shares of its energy"], rows.collect())
        .note("Floating with what it carries, wheels left out.")
}

fn used(t: &Text, c: &Solved) -> Table {
    let u = t.unit();
    let rows = c.used.iter().take(USED).map(|x| {
        let s = &x.stress;
        let cells = vec![
            text(&x.tube),
            number(t.length(x.station)),
            held(format!("{:.0} %", 100.0 * s.utilisation), !c.by_energy() && s.utilisation > c.wanted.utilisation),
        ];
        row(&x.tube, cells).tube(&x.tube).at(x.at)
    });
    table(
        &format!("used {}", c.name),
        format!("{}: most used tubes", c.name),
        &["tube", &format!("from its start {u}"), "use"],
        rows.collect(),
    )
    .note(format!("{}, carried by {}.", c.source, c.carried))
}
