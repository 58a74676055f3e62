//! Pieces and bends as tables.

use cutting::{EndCut, SetUp};
use design::Units;
use review::{Review, Text, steel};

/// One field, quoted where it must be (RFC 4180).
fn field(s: &str) -> String {
    if s.contains([',', '"', '\n', '\r']) { format!("\"{}\"", s.replace('"', "\"\"")) } else { s.to_owned() }
}

fn table(header: &[String], rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let line = |r: &[String]| r.iter().map(|c| field(c)).collect::<Vec<_>>().join(",") + "\r\n";
    let mut out = line(header);
    for r in rows {
        out += &line(&r);
    }
    out
}

struct Unit {
    name: &'static str,
    metres: f64,
}

impl Unit {
    fn of(r: &Review) -> Unit {
        match r.shape.design.units {
            Units::Mm => Unit { name: "mm", metres: 0.001 },
            Units::In => Unit { name: "in", metres: 0.0254 },
        }
    }

    /// To a thousandth of a millimetre or finer: tables are read by programs.
    fn length(&self, m: f64) -> String {
        fixed(m / self.metres, 4)
    }
}

fn degrees(rad: f64) -> String {
    fixed(rad.to_degrees(), 6)
}

/// A number with so many decimals; what rounds to nothing has no sign.
fn fixed(v: f64, decimals: usize) -> String {
    let s = format!("{v:.decimals$}");
    match s.strip_prefix('-') {
        Some(bare) if bare.bytes().all(|b| matches!(b, b'0' | b'.')) => bare.to_owned(),
        _ => s,
    }
}

/// Columns of an end, and whether they hold lengths.
const END: [(&str, bool); 13] = [
    ("cut", false),
    ("to", false),
    ("tool", false),
    ("angle from square (deg)", false),
    ("scale (deg)", false),
    ("turn (deg)", false),
    ("offset", true),
    ("notch diameter", true),
    ("saw size", true),
    ("saw travel", true),
    ("left long", true),
    ("reach long", true),
    ("reach short", true),
];

/// `pieces.csv`: one row per piece, lengths in the design's units.
pub fn pieces(r: &Review) -> String {
    let u = Unit::of(r);
    let t = Text::new(&r.shape.design);
    let mut header: Vec<String> = ["number", "name", "section", "material", "state"].map(String::from).to_vec();
    let lengths = [
        "blank",
        "over long points",
        "over short points",
        "between notch centres",
        "between points",
        "on scribe",
        "chord",
    ];
    header.extend(lengths.iter().map(|l| format!("{l} ({})", u.name)));
    header.extend([format!("mass ({})", t.mass_unit()), "bends".into(), "stick".into()]);
    for end in ["start", "end"] {
        header.extend(END.iter().map(
            |&(c, length)| {
                if length { format!("{end} {c} ({})", u.name) } else { format!("{end} {c}") }
            },
        ));
    }
    let rows = r.cutting.pieces.iter().map(|p| {
        let l = &p.lengths;
        let mut row = vec![
            p.number.to_string(),
            p.name.clone(),
            p.section.clone(),
            p.material.clone(),
            format!("{:?}", p.state).to_lowercase(),
        ];
        let list = [l.blank, l.over_long, l.over_short, l.between_centres, l.between_points, l.on_scribe, l.chord];
        row.extend(list.map(|v| u.length(v)));
        row.push(fixed(t.mass_number(p.mass), 4));
        row.push(p.bends.as_ref().map_or(0, |b| b.bends.len()).to_string());
        row.push(steel::marks(&r.stock, &p.name).unwrap_or_default());
        for e in &p.ends {
            row.extend(end(e, &u));
        }
        row
    });
    table(&header, rows)
}

fn end(e: &EndCut, u: &Unit) -> Vec<String> {
    let join = |f: &dyn Fn(&SetUp) -> String| e.setups.iter().map(f).collect::<Vec<_>>().join("; ");
    vec![
        e.kind.to_owned(),
        e.to.join("; "),
        join(&|s| match s {
            SetUp::Saw { .. } => "saw".into(),
            SetUp::HoleSaw { .. } => "hole saw".into(),
            SetUp::Template { .. } => "template".into(),
        }),
        join(&|s| match s {
            SetUp::Saw { angle, .. } | SetUp::HoleSaw { angle, .. } => degrees(*angle),
            SetUp::Template { .. } => String::new(),
        }),
        join(&|s| match s {
            SetUp::Saw { scale, .. } | SetUp::HoleSaw { scale, .. } => degrees(*scale),
            SetUp::Template { .. } => String::new(),
        }),
        join(&|s| match s {
            SetUp::Saw { turn, .. } | SetUp::HoleSaw { turn, .. } => degrees(*turn),
            SetUp::Template { .. } => String::new(),
        }),
        join(&|s| if let SetUp::HoleSaw { offset, .. } = s { u.length(*offset) } else { String::new() }),
        join(&|s| if let SetUp::HoleSaw { diameter, .. } = s { u.length(*diameter) } else { String::new() }),
        join(&|s| if let SetUp::HoleSaw { saw: Some(saw), .. } = s { u.length(saw.od) } else { String::new() }),
        join(&|s| if let SetUp::HoleSaw { depth, .. } = s { u.length(*depth) } else { String::new() }),
        u.length(e.left_long),
        u.length(e.profile.long),
        u.length(e.profile.short),
    ]
}

/// `bends-lra.csv`: straight, rotation and angle of each bend in the order of working; the last row of a piece is the
/// straight after its last bend.
pub fn bends_lra(r: &Review) -> String {
    let u = Unit::of(r);
    let l = |name: &str| format!("{name} ({})", u.name);
    let header = [
        "piece".into(),
        "worked from".into(),
        "bend".into(),
        l("straight before"),
        "rotation (deg)".into(),
        "angle (deg)".into(),
        l("centreline radius"),
        l("mark from blank's working end"),
        "set (deg)".into(),
    ];
    let mut rows = Vec::new();
    for p in &r.cutting.pieces {
        let Some(b) = &p.bends else { continue };
        let from = b.working_end().word().to_owned();
        for (k, x) in b.bends.iter().enumerate() {
            rows.push(vec![
                p.name.clone(),
                from.clone(),
                (k + 1).to_string(),
                u.length(x.straight),
                degrees(x.rotation),
                degrees(x.angle),
                u.length(x.radius),
                u.length(x.mark),
                x.setting.map_or(String::new(), |s| degrees(s.set)),
            ]);
        }
        let mut last = vec![p.name.clone(), from, "after".into(), u.length(b.last_straight)];
        last.resize(header.len(), String::new());
        rows.push(last);
    }
    table(&header, rows)
}

/// `bends-xyz.csv`: corner points of each bent centreline in the order of working, in the frame's axes.
pub fn bends_xyz(r: &Review) -> String {
    let u = Unit::of(r);
    let l = |name: &str| format!("{name} ({})", u.name);
    let header = ["piece".into(), "corner".into(), l("x"), l("y"), l("z"), l("centreline radius")];
    let mut rows = Vec::new();
    for p in &r.cutting.pieces {
        let Some(b) = &p.bends else { continue };
        let last = b.corners.len() - 1;
        // A corner that does not turn has no bend: radii are told only where every inner corner is one.
        let all = b.bends.len() + 2 == b.corners.len();
        for (k, c) in b.corners.iter().enumerate() {
            let inner = k > 0 && k < last && all;
            let radius = if inner { u.length(b.bends[k - 1].radius) } else { String::new() };
            rows.push(vec![p.name.clone(), (k + 1).to_string(), u.length(c.x), u.length(c.y), u.length(c.z), radius]);
        }
    }
    table(&header, rows)
}

#[cfg(test)]
mod tests {
    use super::{field, fixed, table};

    #[test]
    fn nothing_has_no_sign() {
        assert_eq!(
            [fixed(-1e-9, 4), fixed(-0.0, 2), fixed(-0.00006, 4), fixed(-12.5, 1)],
            ["0.0000", "0.00", "-0.0001", "-12.5"]
        );
    }

    #[test]
    fn fields_are_quoted_where_they_must_be() {
        assert_eq!(field("E355+N"), "E355+N");
        assert_eq!(field("1, \"2\""), "\"1, \"\"2\"\"\"");
        assert_eq!(table(&["a".into(), "b".into()], [vec!["x\ny".into(), String::new()]]), "a,b\r\n\"x\ny\",\r\n");
    }
}
