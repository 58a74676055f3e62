//! A box tube whose sides lie in its host's own sides: the last digit of a place must not decide what is met.

mod common;

use common::{cut, near, piece};

/// Two rails 1400 apart and a cross tube of the same box between them, at a height.
fn rails(height: f64, corner: &str, width: f64) -> String {
    format!(
        r#"
[design]
name = "Flush"
[section.rail]
shape = "box"
width = 60
height = 40
wall = 3
{corner}
material = "S355J2H"
[section.cross]
shape = "box"
width = {width}
height = 40
wall = 3
{corner}
material = "S355J2H"
[point]
a = [0, 700, {height}]
b = [2400, 700, {height}]
c = {{ on = "rail", x = 600 }}
[tube.rail]
section = "rail"
path = ["a", "b"]
mirror = true
[tube.cross]
section = "cross"
path = ["c", "c~"]
"#
    )
}

#[test]
fn a_cross_tube_as_high_as_its_rails() {
    for height in [0.0, 500.0, 333.3, -71.7] {
        for width in [40.0, 60.0] {
            // Sharp corners: all round the side of the rail, 30 from its axis.
            let (_, c) = cut(&rails(height, "corner = 0", width));
            let p = piece(&c, "cross");
            near(p.lengths.over_long, 1.34, 1e-9);
            near(p.lengths.over_short, 1.34, 1e-9);
            for e in &p.ends {
                assert_eq!(e.profile.missing, 0.0, "{height} {width}");
                assert!(
                    e.profile.fibres.iter().all(|f| (f.outer + 0.03).abs() < 1e-9 && (f.inner + 0.03).abs() < 1e-9)
                );
            }
            // Corners of 6: the upper and lower sides run into the rounding to where it begins, 24 from the axis. A nanometre
            // within the side that is √(2 · 6e-3 · 1e-9) m farther out.
            let (_, c) = cut(&rails(height, "", width));
            let p = piece(&c, "cross");
            near(p.lengths.over_long, 1.352, 8e-6);
            near(p.lengths.over_short, 1.34, 1e-9);
            assert!(p.ends.iter().all(|e| e.profile.missing == 0.0), "{height} {width}");
            let findings: Vec<_> = c.findings.iter().filter(|f| f.what.contains("misses")).collect();
            assert!(findings.is_empty(), "{findings:?}");
        }
    }
}
