//! The welded joints under one load case.

use review::Text;
use strength::joints::Kind;
use strength::{Answer, Loaded, Welded};

use crate::table::table;

/// The most used joints, and the thickest welds, that are listed; JSON has them all.
const LISTED: usize = 6;

/// What is said of the joints of all cases.
pub const OF_WELDS: &str = "\nThroats are those of fillets all round by EN 1993-1-8, 4.5.3.3; it counts none under 3 mm. Beside \
what a joint bears stands its tube's\nforce; moments are in the use.\n";

/// The joints of a case: those used most, and the welds that must be thickest for their wall.
pub fn joints(t: &Text, a: &Answer, load: &str) -> String {
    let ends: Vec<(&Welded, &Loaded)> =
        a.joints.iter().filter_map(|w| Some((w, w.loads.iter().find(|l| l.load == load)?))).collect();
    if ends.is_empty() {
        return String::new();
    }
    let mut checked: Vec<(&Welded, &Loaded, f64, bool)> =
        ends.iter().filter_map(|&(w, l)| l.used().map(|(u, whole)| (w, l, u, whole))).collect();
    checked.sort_by(|a, b| b.2.total_cmp(&a.2));
    let mut out = format!("  welded joints: {} of {} tube ends checked\n", checked.len(), ends.len());
    out += &table(
        &[
            "joint used most",
            "tube",
            "on",
            "as",
            &format!("force {}", t.force_unit()),
            &format!("bears {}", t.force_unit()),
            "would fail by",
            "use",
            "limit",
            "",
        ],
        &[4, 5, 7, 8],
        checked.iter().take(LISTED).filter_map(|&(w, l, used, whole)| {
            let p = l.checked.as_ref()?.worst()?;
            Some(vec![
                w.joint.clone(),
                format!("{}, {}", w.tube, w.end),
                w.chord.clone().unwrap_or_default(),
                kind(p.kind).to_owned(),
                t.force(l.force),
                t.force(p.governing.value),
                p.governing.mode.words().to_owned(),
                format!("{:.1} %{}", 100.0 * used, if whole { "" } else { " by force alone" }),
                "100 %".to_owned(),
                if used > 1.0 { "over" } else { "within" }.to_owned(),
            ])
        }),
    );
    let mut welds = ends;
    let share = |x: &(&Welded, &Loaded)| x.1.throat / x.0.full;
    welds.sort_by(|a, b| share(b).total_cmp(&share(a)));
    let unit = t.unit();
    out += &table(
        &[
            "weld at",
            "tube",
            &format!("wall {unit}"),
            &format!("throat for its load {unit}"),
            &format!("as strong as the tube {unit}"),
        ],
        &[2, 3, 4],
        welds.iter().take(LISTED).map(|(w, l)| {
            vec![
                w.joint.clone(),
                format!("{}, {}", w.tube, w.end),
                t.fine_number(w.wall),
                t.fine_number(l.throat),
                t.fine_number(w.full),
            ]
        }),
    );
    out
}

fn kind(k: Kind) -> &'static str {
    match k {
        Kind::T => "T",
        Kind::Y => "Y",
        Kind::X => "X",
        Kind::K => "K",
        Kind::N => "N",
        Kind::KT => "KT",
    }
}
