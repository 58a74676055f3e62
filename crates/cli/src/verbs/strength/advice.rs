//! Tubes that could be added, and tubes that are missed least.

use review::Text;
use strength::{Advice, Loss, Smaller};

use crate::table::table;

/// Braces told for each aim, and tubes told as missed least; JSON has more.
const BEST: usize = 3;
/// See [`BEST`].
const LEAST: usize = 10;
/// Rows of the ledger.
const LEDGER: usize = 12;

/// All tables.
pub fn advice(t: &Text, v: &Advice) -> String {
    let mut out = format!(
        "\ntubes to add, of {}, straight between joints: {} looked at\n  left out: {} too short, {} too long, {} where tubes \
         are, {} close beside a tube, {} under 15° to a tube, {} through people, {} through wheels and masses, {} through \
         ways out\n",
        v.section,
        v.looked_at,
        v.left_out.short,
        v.left_out.long,
        v.left_out.taken,
        v.left_out.parallel,
        v.left_out.sharp,
        v.left_out.person,
        v.left_out.thing,
        v.left_out.opening
    );
    let shown = v.shown(BEST);
    if let Some(n) = &v.now {
        out += &format!("  the largest use now: {} of its limit, {} under {}\n", percent_unit(n.part), n.tube, n.load);
    }
    let mut header: Vec<String> = [
        "from",
        "to",
        "twin",
        &format!("length {}", t.unit()),
        t.mass_unit(),
        "best for",
        &format!("% a {}", t.mass_unit()),
    ]
    .map(str::to_owned)
    .to_vec();
    header.extend(columns(v));
    out += &numbers_from(
        &header,
        &[3, 4],
        6,
        shown.iter().map(|&i| {
            let b = &v.braces[i];
            let (best, worth) = v.best_for(i);
            let mut row = vec![
                b.joins[0].clone(),
                b.joins[1].clone(),
                twin(b.twin),
                t.length(b.length),
                kg(t, b.mass),
                best,
                percent(worth / t.mass_number(1.0)),
            ];
            row.extend(values(v, &b.gains, b.used));
            row
        }),
    );
    out += "  Gains are in stiffness against each load; use is the largest with it, of its limit; masses and gains are of both where \
            there is a twin.\n";
    out += &pushed(t, v);
    out += &missed(t, v);
    out += &smaller(t, v);
    out + &ledger(t, v)
}

fn percent(x: f64) -> String {
    format!("{:.1}", 100.0 * x)
}

fn percent_unit(x: f64) -> String {
    format!("{} %", percent(x))
}

/// A mass in the design's unit, without it.
fn kg(t: &Text, mass: f64) -> String {
    format!("{:.2}", t.mass_number(mass))
}

fn twin(is: bool) -> String {
    if is { "yes" } else { "" }.to_owned()
}

fn used(part: Option<f64>) -> String {
    part.map_or_else(String::new, percent)
}

/// Most aims that have a column of their own; of more, only torsion and bending have.
const AIMS: usize = 4;

/// The aims with a column of their own.
fn ours(v: &Advice) -> Vec<usize> {
    let few = v.aims.len() <= AIMS;
    (0..v.aims.len()).filter(|&k| few || v.aims[k] == "torsion" || v.aims[k] == "bending").collect()
}

/// A column for each of those aims, one for the most of any, and one for use if there is any.
fn columns(v: &Advice) -> Vec<String> {
    let use_too = v.now.as_ref().map(|_| "use %".to_owned());
    let own = ours(v).into_iter().map(|k| format!("{} %", v.aims[k]));
    own.chain(std::iter::once("most of any %".to_owned())).chain(use_too).collect()
}

/// What stands in them.
fn values(v: &Advice, of: &[f64], part: Option<f64>) -> Vec<String> {
    let mut out: Vec<String> = ours(v).into_iter().map(|k| percent(of[k])).collect();
    out.push(percent(of.iter().copied().fold(f64::NEG_INFINITY, f64::max)));
    out.extend(v.now.as_ref().map(|_| used(part)));
    out
}

/// A table whose columns from one on, and some before it, are numbers.
fn numbers_from(header: &[String], some: &[usize], from: usize, rows: impl Iterator<Item = Vec<String>>) -> String {
    let names: Vec<&str> = header.iter().map(String::as_str).collect();
    let numbers: Vec<usize> = some.iter().copied().chain(from..header.len()).collect();
    table(&names, &numbers, rows)
}

/// Braces tried in collapse.
fn pushed(t: &Text, v: &Advice) -> String {
    if v.pushed.is_empty() {
        return String::new();
    }
    let header: Vec<String> = [
        "load",
        "from",
        "to",
        "twin",
        t.mass_unit(),
        "carries without it",
        "with it",
        &format!("more a {}", t.mass_unit()),
        "followed",
    ]
    .map(str::to_owned)
    .to_vec();
    let rows = v.pushed.iter().map(|p| {
        vec![
            p.load.clone(),
            p.joins[0].clone(),
            p.joins[1].clone(),
            twin(p.twin),
            kg(t, p.mass),
            format!("{:.3}", p.without),
            format!("{:.3}", p.with),
            format!("{:.3}", p.per_kg / t.mass_number(1.0)),
            if p.whole { "to the end" } else { "not to the end" }.to_owned(),
        ]
    });
    let names: Vec<&str> = header.iter().map(String::as_str).collect();
    "\nbraces tried past yielding: how many times the load the frame carries at most\n".to_owned()
        + &table(&names, &[4, 5, 6, 7], rows)
}

fn missed(t: &Text, v: &Advice) -> String {
    let mut header: Vec<String> = ["tube", "twin", t.mass_unit()].map(str::to_owned).to_vec();
    header.extend(columns(v));
    let rows = v.losses.iter().filter_map(|l| Some((l, l.losses.as_ref()?))).take(LEAST).map(|(l, losses)| {
        let mut row = vec![l.tube.clone(), twin(l.twin), kg(t, l.mass)];
        row.extend(values(v, losses, l.used));
        row
    });
    "\ntubes that are missed least for their mass: what stiffness loses without them, and the largest use then\n"
        .to_owned()
        + &numbers_from(&header, &[], 2, rows)
        + "  A tube missed little by these loads may be there for others, for people or for a rule.\n"
}

/// Tubes one size smaller, those that lose least for what they save first.
fn smaller(t: &Text, v: &Advice) -> String {
    let most = |s: &Smaller| s.losses.iter().fold(0.0f64, |m, x| m.max(*x)) / s.saved;
    let mut all: Vec<(&Loss, &Smaller)> = v.losses.iter().filter_map(|l| Some((l, l.smaller.as_ref()?))).collect();
    if all.is_empty() {
        return String::new();
    }
    all.sort_by(|a, b| most(a.1).total_cmp(&most(b.1)));
    let mut header: Vec<String> =
        ["tube", "twin", "one size smaller", &format!("{} saved", t.mass_unit())].map(str::to_owned).to_vec();
    header.extend(columns(v));
    let rows = all.into_iter().take(LEAST).map(|(l, s)| {
        let mut row = vec![l.tube.clone(), twin(l.twin), s.size.clone(), kg(t, s.saved)];
        row.extend(values(v, &s.losses, s.used));
        row
    });
    "\ntubes one size smaller, those that lose least for what they save: what stiffness loses, and the largest use then\n"
        .to_owned()
        + &numbers_from(&header, &[], 3, rows)
}

fn ledger(t: &Text, v: &Advice) -> String {
    let l = &v.ledger;
    let mut header: Vec<String> = ["tube", "twin", t.mass_unit(), "of all %"].map(str::to_owned).to_vec();
    header.extend(l.buys.iter().map(|b| format!("{b} %")));
    header.push(format!("most a {} %", t.mass_unit()));
    let rows = l.rows.iter().take(LEDGER).map(|r| {
        let mut row = vec![r.tube.clone(), twin(r.twin), kg(t, r.mass), percent(r.share)];
        match &r.buys {
            Some(b) => row.extend(b.iter().map(|x| percent(*x))),
            None => row.extend(l.buys.iter().map(|_| "its hold".to_owned())),
        }
        row.push(r.per_kg.map_or_else(String::new, |x| percent(x / t.mass_number(1.0))));
        row
    });
    let rest = l.rows.len().saturating_sub(LEDGER);
    let more = if rest > 0 { format!("  {rest} lighter ones more\n") } else { String::new() };
    "\nwhat the weight buys: the heaviest tubes, and what the frame would lose without each\n".to_owned()
        + &numbers_from(&header, &[], 2, rows)
        + &more
        + &format!("  First to go, as they buy least for their mass: {}\n", l.first_to_go.join(", "))
}
