//! Flat drawings for a cutter: the finished edge, the side of the kerf in layers and in words.

mod common;

use common::review_of;
use geometry::DVec2;
use packet::exchange::flat::{self, Drawing, Layer};
use packet::exchange::{dxf, svg};
use shape::End;

/// A plate drawn clockwise with a corner and a hole given twice, its mirror image, and one of its own.
const PLATES: &str = r#"
[design]
name = "Plates"
units = "UNITS"
[section.t]
shape = "round"
od = 0.4
wall = 0.05
material = "S355"
[point]
a = [0, 0, 0]
b = [500, 0, 0]
c = [250, 0, 0]
d = [300, 200, 0]
o = [0, 100, 0]
[tube.bar]
section = "t"
path = ["a", "b"]
[tube.thin]
section = "t"
path = ["c", "d"]
[plate.gusset]
thickness = 0.25
material = "S355"
outline = { origin = "o", x = [1, 0, 0], y = [0, 0, 1], corners = [[0, 0], [10, 60], [80, 0]] }
holes = [{ at = [20, 20], d = 12 }, { at = [20, 20], d = 12 }, { at = [40, 10], d = 5 }]
mirror = true
[plate.own]
thickness = 0.25
material = "S355"
outline = { origin = "o", x = [1, 0, 0], y = [0, 0, 1], corners = [[0, 0], [0.5, 0], [0, 0.5]] }
"#;

fn area(points: &[DVec2]) -> f64 {
    let next = points.iter().cycle().skip(1);
    points.iter().zip(next).map(|(a, b)| a.perp_dot(*b)).sum::<f64>() / 2.0
}

fn words(d: &Drawing) -> String {
    d.notes.iter().filter(|n| n.layer == Layer::Note).map(|n| n.words.as_str()).collect::<Vec<_>>().join(" ")
}

/// What is cut out: one closed line, anticlockwise, without sides of no length.
fn assert_cut(d: &Drawing) {
    let outer: Vec<_> = d.lines.iter().filter(|l| l.layer == Layer::CutOutside).collect();
    assert_eq!(outer.len(), 1, "{}", d.title);
    let points = &outer[0].points;
    assert!(outer[0].closed && area(points) > 0.0, "{}", d.title);
    assert!((0..points.len()).all(|i| points[i].distance(points[(i + 1) % points.len()]) > 1e-6), "{}", d.title);
    assert!(d.lines.iter().all(|l| l.layer != Layer::CutInside));
    assert!(d.circles.iter().all(|c| c.layer == Layer::CutInside));
}

#[test]
fn plates_say_what_they_are_and_where_the_kerf_goes() {
    for (units, thick, mm) in [("mm", "0.25 mm", 1.0), ("in", "0.25 in", 25.4)] {
        let r = review_of(&PLATES.replace("UNITS", units));
        let all = flat::plates(&r);
        assert_eq!(all.iter().map(|d| d.title.as_str()).collect::<Vec<_>>(), ["gusset", "gusset~", "own"]);
        all.iter().for_each(assert_cut);
        for d in &all[..2] {
            // At the finished size: nothing is added or taken off for the kerf. What is given twice is cut once.
            let cut = d.lines.iter().find(|l| l.layer == Layer::CutOutside).unwrap();
            assert!((area(&cut.points) / (mm * mm) - 2400.0).abs() < 1e-9);
            let sizes: Vec<f64> = d.circles.iter().map(|c| c.radius / mm).collect();
            assert_eq!(sizes.len(), 2, "{sizes:?}");
            assert!((sizes[0] - 6.0).abs() < 1e-12 && (sizes[1] - 2.5).abs() < 1e-12);
            let said = words(d);
            let want = format!(
                "{}: S355, {thick} thick. One from this drawing, or all 2 of its shape (a mirror image is the same plate turned \
                 over): gusset, gusset~. Lines are the finished edge. Outer edges: kerf outside the line; holes: kerf inside.",
                d.title
            );
            assert_eq!(said, want);
        }
        assert!(words(&all[2]).contains("One from this drawing; no other is like it."), "{}", words(&all[2]));
        for d in &all {
            // Words for the operator stand clear of the part.
            let low = d.lines[0].points.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
            assert!(d.notes.iter().filter(|n| n.layer == Layer::Note).all(|n| n.at.y + n.height < low));
        }
    }
}

#[test]
fn layers_stand_in_both_forms() {
    let r = review_of(&PLATES.replace("UNITS", "mm"));
    for d in flat::plates(&r) {
        let (dxf, svg) = (dxf::write(&d), svg::write(&d));
        for layer in Layer::ALL.map(Layer::name) {
            let used = d.lines.iter().any(|l| l.layer.name() == layer)
                || d.circles.iter().any(|c| c.layer.name() == layer)
                || d.notes.iter().any(|n| n.layer.name() == layer);
            assert!(dxf.contains(&format!("AcDbLayerTableRecord\n  2\n{layer}\n")));
            assert_eq!(dxf.contains(&format!("AcDbEntity\n  8\n{layer}\n")), used, "{layer}");
            assert_eq!(svg.contains(&format!("class=\"{layer}\"")), used, "{layer}");
        }
        assert_eq!(svg.matches("kerf inside").count(), 1);
        assert_eq!(dxf.matches("kerf inside").count(), 1);
    }
}

#[test]
fn templates_of_thin_tubes_keep_their_words_on_the_paper() {
    let r = review_of(&PLATES.replace("UNITS", "in").replace("od = 0.4", "od = 0.2"));
    let p = r.cutting.pieces.iter().find(|p| p.name == "thin").unwrap();
    let d = flat::template(p, End::Start);
    assert_cut(&d);
    let paper = &d.lines[0].points;
    let right = paper.iter().map(|q| q.x).fold(0.0, f64::max);
    assert!((right - std::f64::consts::PI * 0.2 * 25.4).abs() < 1e-9);
    for n in d.notes.iter().filter(|n| n.layer == Layer::Note) {
        assert!(n.height > 0.3 && n.at.x + 0.7 * n.height * n.words.len() as f64 <= right, "{n:?}");
    }
    assert_eq!(words(&d), "the line is the finished edge: kerf outside the line");
    // No mark runs along an edge, where it would be cut away.
    for l in d.lines.iter().filter(|l| l.layer == Layer::Mark) {
        assert!(l.points.windows(2).all(|w| !(w[0].x == w[1].x && (w[0].x == 0.0 || w[0].x == right))), "{l:?}");
    }
}
