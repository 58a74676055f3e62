//! One load case in words and tables.

use geometry::DVec3;
use review::Text;
use strength::{Crushed, Published, Solved};

use crate::table::{table, wrap};

/// The most used tubes that are listed; JSON has them all.
const USED: usize = 8;

/// Hinges that are listed.
const HINGES: usize = 12;

/// Of the largest load, a moment on a support smaller than this is rounding, and its columns are left out.
const NOTHING: f64 = 1e-9;

/// Every case in a line.
pub fn all(t: &Text, cases: &[Solved]) -> String {
    let row = |c: &Solved| {
        let used = c.used.first();
        let limit = if c.by_energy() { "-".to_owned() } else { format!("{:.0} %", 100.0 * c.wanted.utilisation) };
        vec![
            c.name.clone(),
            c.verdict(),
            used.map_or_else(String::new, |u| u.tube.clone()),
            used.map_or_else(String::new, |u| format!("{:.1} %", 100.0 * u.stress.utilisation)),
            limit,
            c.moved.name.clone(),
            t.fine_number(c.moved.by.length()),
            c.wanted.most.map_or("-".to_owned(), |m| t.fine_number(m)),
            c.buckling.as_ref().map_or("-".to_owned(), |b| factor(b.factor)),
        ]
    };
    let by = format!("by {}", t.unit());
    let header = ["load", "it is", "most used", "use", "limit", "moves most", &by, "limit", "buckles at"];
    table(&header, &[3, 4, 6, 7, 8], cases.iter().map(row))
}

/// A case: what moves, what is used, what the supports carry.
pub fn case(t: &Text, c: &Solved) -> String {
    let mut out = format!("\n{} ({}), carried by {}: {}\n", c.name, c.source, c.carried, c.verdict());
    if let Some(p) = &c.published {
        out += &published(t, p);
        out += &format!("  the load: {}\n", size(t, c));
    }
    let by = c.moved.by;
    out += &format!("  moves most: {} by {}{}", c.moved.name, t.fine(by.length()), direction(by));
    let parts = [by.x, by.y, by.z].map(|m| t.fine_number(m));
    out += &format!(" (x {}, y {}, z {})", parts[0], parts[1], parts[2]);
    out += &match c.wanted.most {
        Some(m) if by.length() > m => format!("; over its limit of {}\n", t.fine(m)),
        Some(m) => format!("; within its limit of {}\n", t.fine(m)),
        None => "\n".to_owned(),
    };
    out += &match &c.buckling {
        Some(b) => format!(
            "  buckles at {} times the load ({} cut half as fine), {} with {:.0} % of the bending; {} the least wanted, {}\n",
            factor(b.factor),
            factor(b.coarse),
            b.tube.0,
            100.0 * b.tube.1,
            if b.factor < c.wanted.buckling { "under" } else { "within" },
            factor(c.wanted.buckling),
        ),
        None if c.buckling_known => "  nothing is pressed: it can't buckle\n".to_owned(),
        None => "  buckling not checked\n".to_owned(),
    };
    out += &table(
        &[
            "most used",
            &format!("from its start {}", t.unit()),
            "use",
            "limit",
            "",
            &format!("force {}", t.force_unit()),
            &format!("bending {}", t.moment_unit()),
            &format!("torque {}", t.moment_unit()),
        ],
        &[1, 2, 3, 5, 6, 7],
        c.used.iter().take(USED).map(|u| {
            let s = &u.stress;
            vec![
                u.tube.clone(),
                t.length(u.station),
                format!("{:.1} %", 100.0 * s.utilisation),
                format!("{:.0} %", 100.0 * c.wanted.utilisation),
                if s.utilisation > c.wanted.utilisation { "over" } else { "within" }.to_owned(),
                t.force(s.force),
                t.moment(s.bending),
                t.moment(s.torque),
            ]
        }),
    );
    out += &reactions(t, c);
    out += &format!("  out of balance: {:.0e} of the largest load\n", c.residual);
    if let Some(x) = &c.crushed {
        out += &crushed(t, c, x);
    }
    out
}

/// How large a published load is: its acceleration, and the sum of its forces.
fn size(t: &Text, c: &Solved) -> String {
    let g = c.field / strength::GRAVITY;
    let force: DVec3 = c.acts.iter().map(|a| a.force).sum();
    let places = c.acts.iter().filter(|a| a.force != DVec3::ZERO).count();
    let mut out = Vec::new();
    if g != DVec3::ZERO {
        out.push(format!("{:.2} g ({:.2}, {:.2}, {:.2})", g.length(), g.x, g.y, g.z));
    }
    if places > 0 {
        let at = review::text::counted(places, "place");
        let parts = force.to_array().map(|x| t.force(x));
        let unit = t.force_unit();
        out.push(format!(
            "{} {unit} in all at {at} (x {}, y {}, z {})",
            t.force(force.length()),
            parts[0],
            parts[1],
            parts[2]
        ));
    }
    let turned = c.acts.iter().filter(|a| a.moment != DVec3::ZERO).count();
    if turned > 0 {
        let most = c.acts.iter().map(|a| a.moment.length()).fold(0.0, f64::max);
        let at = review::text::counted(turned, "place");
        out.push(format!("couples of up to {} {} at {at}", t.moment(most), t.moment_unit()));
    }
    if out.is_empty() { "no force and no acceleration".to_owned() } else { out.join(", and ") }
}

/// What is published of a case.
fn published(t: &Text, p: &Published) -> String {
    let mut out = String::new();
    let mut line = |key: &str, words: &str| {
        let list: Vec<String> = words.split(' ').map(str::to_owned).collect();
        out += &format!("  {key}: {}\n", wrap(&list, " ", super::WIDTH));
    };
    line("edition", p.edition);
    line("scales with", &p.scales);
    line("accepted", &p.accepts);
    line("where", &p.places);
    if let (Some(wanted), Some(elastic)) = (p.energy, p.elastic) {
        let words = format!("{}, of which {} until the first tube yields", t.energy(wanted), t.energy(elastic));
        line("energy to be taken up", &words);
    }
    out
}

fn reactions(t: &Text, c: &Solved) -> String {
    let largest = c.reactions.iter().map(|r| r.force.length()).fold(0.0, f64::max);
    let turned = c.reactions.iter().any(|r| r.moment.length() > NOTHING * largest);
    let axis = |word: &str, a: &str, unit: &str| format!("{word} {a} {unit}");
    let mut header = vec!["held at".to_owned()];
    header.extend(["x", "y", "z"].map(|a| axis("force", a, t.force_unit())));
    if turned {
        header.extend(["x", "y", "z"].map(|a| axis("moment", a, t.moment_unit())));
    }
    let header: Vec<&str> = header.iter().map(String::as_str).collect();
    table(
        &header,
        &[1, 2, 3, 4, 5, 6],
        c.reactions.iter().map(|r| {
            let mut row = vec![r.name.clone()];
            row.extend(r.force.to_array().map(|f| t.force(f)));
            if turned {
                row.extend(r.moment.to_array().map(|m| t.moment(m)));
            }
            row
        }),
    )
}

fn crushed(t: &Text, c: &Solved, x: &Crushed) -> String {
    let mut out = format!("  pushed past yielding, told by the way of {}{}\n", x.told, direction(x.along));
    for clause in review::pushed(t, c, x) {
        out += &format!("    {clause}\n");
    }
    out + &table(
        &["hinge", "tube", &format!("x {}", t.unit()), "y", "z", "times the load", &format!("at {}", t.unit())],
        &[0, 2, 3, 4, 5, 6],
        x.hinges.iter().take(HINGES).enumerate().map(|(i, h)| {
            vec![
                (i + 1).to_string(),
                h.tube.clone(),
                t.length(h.at.x),
                t.length(h.at.y),
                t.length(h.at.z),
                factor(h.factor),
                t.fine_number(h.travel),
            ]
        }),
    )
}

/// To three digits.
fn factor(f: f64) -> String {
    if !f.is_finite() {
        "no".to_owned()
    } else if f.abs() >= 100.0 {
        format!("{f:.0}")
    } else if f.abs() >= 10.0 {
        format!("{f:.1}")
    } else {
        format!("{f:.2}")
    }
}

/// `, mostly down`, from the largest of its parts; nothing if it goes nowhere.
fn direction(d: DVec3) -> String {
    if d.length_squared() == 0.0 {
        return String::new();
    }
    let a = d.abs();
    let word = if a.z >= a.x && a.z >= a.y {
        if d.z > 0.0 { "up" } else { "down" }
    } else if a.x >= a.y {
        if d.x > 0.0 { "forward" } else { "backward" }
    } else if d.y > 0.0 {
        "left"
    } else {
        "right"
    };
    format!(", mostly {word}")
}
