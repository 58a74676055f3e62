//! `strength`: will it hold, and which tube would help most?

mod advice;
mod cases;
mod joints;

use std::path::Path;
use std::process::ExitCode;
use std::sync::Arc;

use review::Text;
use serde_json::json;
use strength::{Answer, Depth, Rigged};

use crate::load;
use crate::table::{table, wrap};

/// Tubes that are listed by their share of a rig's energy; JSON has them all.
const SHARES: usize = 6;

/// Width of wrapped lists.
pub(super) const WIDTH: usize = 110;

/// The word for the car at rest in `--load`.
const REST: &str = "rest";

const CAUTION: &str = "A calculation on an ideal frame, and no test. Left out: the welds that were made and the weakened metal \
beside them, fatigue, dynamic\neffects, dents, tubes out of round, the give of walls at joints, residual stress, temperature, \
scatter of the material. Local rules and\na licensed engineer prevail.";

/// What is asked for.
pub struct Asked<'a> {
    /// Only this load, set of loads, or `rest`.
    pub load: Option<&'a str>,
    /// Everything of every load.
    pub details: bool,
    /// Past yielding.
    pub collapse: bool,
}

/// Prints every load in a line, what was found, the rigs, frequencies and advice; everything of the loads asked for.
pub fn run(path: &Path, as_json: bool, asked: &Asked<'_>, deck: Option<&Path>) -> Result<ExitCode, String> {
    let (text, mut design) = load::design(path)?;
    if let Some(name) = asked.load {
        let d = Arc::make_mut(&mut design);
        let sets: Vec<&str> = d.strength.sets.iter().map(|s| s.word()).collect();
        let known: Vec<&str> = d.loads.iter().map(|l| l.name.as_str()).chain(sets).collect();
        let rests = name == REST && d.strength.rest > 0.0;
        if !rests && !known.contains(&name) {
            let near = design::nearest(name, known);
            let hint = near.map_or(String::new(), |n| format!("; did you mean `{n}`?"));
            return Err(format!(
                "error: no load and no set of loads that the design asks for is called `{name}`{hint}"
            ));
        }
        d.loads.retain(|l| l.name == name);
        d.strength.sets.retain(|s| s.word() == name);
        if !rests {
            d.strength.rest = 0.0;
        }
    }
    let shape = shape::resolve(design).map_err(|p| design::render(&p, &path.display().to_string(), &text))?;
    if let Some(dir) = deck {
        return write(&shape, dir);
    }
    let a = review::strength_of(&shape, if asked.collapse { Depth::Collapse } else { Depth::Full });
    if as_json {
        load::json(&json!({
            "units": "SI: m, kg, N, N m, Pa, J, Hz, rad; stiffness N m/rad and N/m", "strength": a, "findings": a.findings,
        }))?;
        return Ok(ExitCode::SUCCESS);
    }
    let t = Text::new(&shape.design);
    let loads = review::text::counted(a.cases.len(), "load");
    let mut out = format!("{}: {loads} on {} beams between {} nodes\n", shape.design.name, a.beams, a.nodes.len());
    if !a.cases.is_empty() {
        out += &format!("\n{}", cases::all(&t, &a.cases));
    }
    for n in &a.without {
        out += &format!("{}: not checked: {}; {}\n", n.name, n.why, n.help);
    }
    out += &found(&t, &a);
    // One load that is asked for is told whole, and nothing besides but what would help it.
    let whole = asked.details || asked.load.is_some() || a.cases.len() == 1;
    if whole {
        for c in &a.cases {
            out += &cases::case(&t, c);
            out += &joints::joints(&t, &a, &c.name);
        }
        if a.joints.iter().any(|w| !w.loads.is_empty()) {
            out += joints::OF_WELDS;
        }
    }
    if asked.load.is_none() {
        out += &a.rig.as_ref().map_or(String::new(), |r| rigs(&t, r));
        out += &vibration(&a);
    }
    out += &a.advice.as_ref().map_or(String::new(), |v| advice::advice(&t, v));
    if !whole && !a.cases.is_empty() {
        out += "\nEverything of one load: `--load NAME`; of all: `--details`.\n";
    }
    out += &format!("\n{CAUTION}\n");
    load::print(&out);
    Ok(ExitCode::SUCCESS)
}

fn found(t: &Text, a: &Answer) -> String {
    if a.findings.is_empty() {
        return String::new();
    }
    let mut out = "\nfound\n".to_owned();
    for f in &a.findings {
        let measured = t.measure(f).map_or(String::new(), |m| format!(": {m}"));
        out += &format!("  {}{measured}\n", f.what);
        if let Some(h) = &f.help {
            out += &format!("    {h}\n");
        }
    }
    out
}

/// Writes a deck for each case.
fn write(shape: &shape::Shape, dir: &Path) -> Result<ExitCode, String> {
    let (decks, without) = review::decks(shape);
    for n in &without {
        eprintln!("no deck for {}: {}; {}", n.name, n.why, n.help);
    }
    if decks.is_empty() {
        return Err("error: there is no load to write a deck for; give loads: see [load.NAME] in docs/design-file.md"
            .to_owned());
    }
    std::fs::create_dir_all(dir).map_err(|e| format!("error: can't make {}: {e}", dir.display()))?;
    let mut out = String::new();
    for d in decks {
        let file = dir.join(&d.file);
        std::fs::write(&file, &d.text).map_err(|e| format!("error: can't write {}: {e}", file.display()))?;
        out += &format!("{}: {}\n", d.name, file.display());
    }
    load::print(&out);
    Ok(ExitCode::SUCCESS)
}

fn rigs(t: &Text, r: &Rigged) -> String {
    let [fl, fr, rl, rr] = &r.places;
    let mut out = format!(
        "\non the rig, held at {rl} and {rr}, loaded at {fl} and {fr}\n  torsion {}: a couple at the front for its twist \
         against the rear\n  bending {}: a force in the middle for its sag, over {} joints of the floor\n",
        t.torsion(r.torsion),
        t.rate(r.bending),
        r.middle.len()
    );
    let share = |s: &Vec<(String, f64)>, i: usize| {
        s.get(i).map_or([String::new(), String::new()], |(n, p)| [n.clone(), format!("{:.1} %", 100.0 * p)])
    };
    out += &table(
        &["torsion: tube", "share of the give", "bending: tube", "share of the give"],
        &[1, 3],
        (0..SHARES.min(r.torsion_shares.len().max(r.bending_shares.len())))
            .map(|i| [share(&r.torsion_shares, i), share(&r.bending_shares, i)].concat()),
    );
    out
}

fn vibration(a: &Answer) -> String {
    if a.vibration.is_empty() {
        return String::new();
    }
    let tubes = |v: &strength::Vibrates| {
        let list: Vec<String> = v.tubes.iter().map(|(n, p)| format!("{n} {:.0} %", 100.0 * p)).collect();
        wrap(&list, ", ", WIDTH)
    };
    "\nnatural frequencies, floating with what it carries, wheels left out\n".to_owned()
        + &table(
            &["", "Hz", "cut half as fine", "shares of its energy"],
            &[0, 1, 2],
            a.vibration.iter().enumerate().map(|(i, v)| {
                vec![(i + 1).to_string(), format!("{:.2}", v.frequency), format!("{:.2}", v.coarse), tubes(v)]
            }),
        )
}
