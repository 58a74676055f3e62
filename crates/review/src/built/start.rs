//! A sheet to be filled in on the car.

use std::fmt::Write as _;

use jigs::Answer as Jigs;

use crate::{Review, Text};

/// A sheet to be filled in on the car: what is worth measuring of a frame, with what each should read as a remark.
pub fn to_fill_in(r: &Review, jigs: &Jigs, t: &Text) -> String {
    let d = &r.shape.design;
    let u = t.unit();
    let mut s = format!(
        "# What was measured on {}. Fill in what you took, take the `#` away before it, leave out the rest.\n\
         # After each line: what it should read as designed, in {}, between the crossings of the axes.\n\
         # A tape laid on faces: name the face behind the point, as in \"{} outside\".\n\
         # Faces: top, under, front, rear, left, right, inside, outside. See docs/measured-sheet.md.\n\n\
         [sheet]\nunits = \"{u}\"\n# by = \"\"\n# standing = \"\"        # the last tube that stands, in fitting order\n\n\
         [good_to]                  # two readings of three are nearer than this\n# tape = {}\n# height = {}\n# plumb = {}\n# angle = 0.2              # degrees\n\n",
        d.name,
        t.unit_word(),
        d.points.first().map_or("foot", |p| p.name.as_str()),
        t.fine_number(design::measured::usual::TAPE),
        t.fine_number(design::measured::usual::HEIGHT),
        t.fine_number(design::measured::usual::PLUMB),
    );
    let own = |name: &str| {
        let bare = name.trim_end_matches('~');
        let i = d.points.iter().position(|p| p.name == bare)?;
        Some(r.shape.places.of(design::PointId(i), name.ends_with('~')))
    };
    s += "[tape]\n";
    let mut seen: Vec<[String; 2]> = Vec::new();
    let mut number = 0;
    let mut tape = |a: &str, b: &str, why: &str, s: &mut String| {
        let (Some(p), Some(q)) = (own(a), own(b)) else { return };
        let pair = if a < b { [a.to_owned(), b.to_owned()] } else { [b.to_owned(), a.to_owned()] };
        if p.distance(q) < 1e-3 || seen.contains(&pair) {
            return;
        }
        seen.push(pair);
        number += 1;
        _ = writeln!(
            s,
            "# t{number} = {{ from = \"{a}\", to = \"{b}\", reads =  }}  # {}, {why}",
            t.fine_number(p.distance(q))
        );
    };
    for p in &jigs.panels {
        for x in &p.diagonals {
            tape(&x.joints[0], &x.joints[1], "diagonal", &mut s);
        }
    }
    for (k, tube) in r.shape.tubes.iter().enumerate() {
        let mut along: Vec<(f64, &str)> = r
            .shape
            .joints
            .iter()
            .filter_map(|j| Some((j.members.iter().find(|m| m.tube == k)?.station, j.name.as_str())))
            .collect();
        along.sort_by(|a, b| a.0.total_cmp(&b.0));
        if let [first, .., last] = along[..] {
            tape(first.1, last.1, &tube.name, &mut s);
        }
    }
    s += "\n[height]                   # over one level plane: a laser, a true floor\n";
    for (k, j) in r.shape.joints.iter().filter(|j| j.members.len() > 1 && own(&j.name).is_some()).enumerate() {
        let over = t.fine_number(j.at.z - r.shape.datum);
        _ = writeln!(s, "# h{} = {{ of = \"{}\", reads =  }}  # {over} over the datum", k + 1, j.name);
    }
    s
}
