//! A frame out through `centrelines.dxf` and in again is the same frame.

use std::fmt::Write;
use std::sync::Arc;

use design::TubeState;
use draft::{Options, draft};
use geometry::{DVec3, SAME_PLACE, Segment};
use packet::exchange::dxf::centrelines;
use shape::Shape;

fn read(text: &str) -> design::Design {
    design::read(text).unwrap_or_else(|p| panic!("{}\n{text}", design::render(&p, "design", text))).design
}

fn shape(text: &str) -> Shape {
    shape::resolve(Arc::new(read(text))).unwrap_or_else(|p| panic!("{}\n{text}", design::render(&p, "design", text)))
}

/// The design that comes of the frame's centrelines.
fn back(s: &Shape, text: &str) -> (draft::Draft, Shape) {
    let drawing = drawing::dxf::read(centrelines::write(s).as_bytes()).unwrap();
    let options = Options { with: Some((&s.design, text)), ..Options::new("back", "centrelines.dxf") };
    let out = draft(&drawing, &options).unwrap();
    let there = shape(&out.text);
    (out, there)
}

/// What makes two tubes the same: steel, state, and a centreline that may run either way.
#[derive(Debug)]
struct Same {
    section: String,
    state: TubeState,
    segments: Vec<(DVec3, DVec3, DVec3)>,
}

fn tubes(s: &Shape) -> Vec<Same> {
    let one = |t: &shape::Tube| Same {
        section: s.design.sections[t.section.0].name.clone(),
        state: t.state,
        segments: t
            .chain
            .segments
            .iter()
            .filter(|g| g.length() > SAME_PLACE)
            .map(|g: &Segment| (g.point(0.0), g.point(g.length() / 2.0), g.point(g.length())))
            .collect(),
    };
    s.tubes.iter().map(one).collect()
}

/// Nearer than this they are one, m: the file is written to a nanometre, and bends carry that on.
const NEAR: f64 = 2e-8;

impl Same {
    fn is(&self, o: &Same) -> bool {
        let alike = |a: &(DVec3, DVec3, DVec3), b: (DVec3, DVec3, DVec3)| {
            a.0.distance(b.0) < NEAR && a.1.distance(b.1) < NEAR && a.2.distance(b.2) < NEAR
        };
        let n = self.segments.len();
        let there = || (0..n).all(|k| alike(&self.segments[k], o.segments[k]));
        let turned = |k: usize| {
            let g = o.segments[n - 1 - k];
            (g.2, g.1, g.0)
        };
        let back = || (0..n).all(|k| alike(&self.segments[k], turned(k)));
        self.section == o.section && self.state == o.state && n == o.segments.len() && (there() || back())
    }
}

/// Every tube of one frame is a tube of the other, once.
fn held(a: &Shape, b: &Shape, what: &str) {
    let (a, mut b) = (tubes(a), tubes(b));
    assert_eq!(a.len(), b.len(), "{what}: as many tubes");
    for t in &a {
        let k = b.iter().position(|o| t.is(o));
        let k = k.unwrap_or_else(|| panic!("{what}: {t:?} did not come back; left are {b:#?}"));
        b.swap_remove(k);
    }
}

struct Random(u64);

impl Random {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (self.0 >> 33) as f64 / (1u64 << 31) as f64
    }

    fn between(&mut self, lo: f64, hi: f64) -> f64 {
        lo + (hi - lo) * self.next()
    }

    fn below(&mut self, n: usize) -> usize {
        ((self.next() * n as f64) as usize).min(n - 1)
    }
}

/// A frame as nobody would weld it: rails, bent and straight tubes on each other and beside each other, with twins,
/// across the centre plane, on one side only, of all states.
fn random(seed: u64, inches: bool) -> String {
    let mut r = Random(seed.wrapping_mul(0x9e3779b97f4a7c15) | 1);
    let unit = if inches { 1.0 / 25.4 } else { 1.0 };
    let mut out = format!(
        "[design]\nname = \"r\"\nunits = \"{}\"\n[section.rail]\nshape = \"box\"\nwidth = \"50 mm\"\nheight = \"80 mm\"\nwall = \"3 mm\"\n\
         material = \"S355\"\n[section.hoop]\nsize = \"45 x 2.5 mm\"\nmaterial = \"E355+N\"\n[section.Brace]\nsize = \"30 x 2.0 mm\"\n\
         material = \"E355+N\"\n[die.hoop]\nod = \"45 mm\"\nradius = \"135 mm\"\n",
        if inches { "in" } else { "mm" }
    );
    let (mut points, mut tubes) = (String::new(), String::new());
    let triple = |r: &mut Random, side: bool| {
        let y = if side { r.between(150.0, 700.0) } else { r.between(-700.0, 700.0) };
        let (x, z) = (r.between(-1500.0, 1500.0), r.between(0.0, 1200.0));
        format!("[{}, {}, {}]", x * unit, y * unit, z * unit)
    };
    let _ =
        writeln!(points, "a = [{}, {}, 0]\nb = [{}, {}, 0]", 1400.0 * unit, 350.0 * unit, -1400.0 * unit, 300.0 * unit);
    tubes += "[tube.rail]\nsection = \"rail\"\npath = [\"a\", \"b\"]\nmirror = true\n";
    // Tubes that points may lie on: name, whether mirrored, whether straight.
    let mut hosts = vec![("rail".to_owned(), true)];
    for k in 0..6 + r.below(10) {
        let kind = r.below(6);
        let mirror = kind < 3;
        let (p, q) = (format!("p{k}"), format!("q{k}"));
        let place = |r: &mut Random| match r.below(4) {
            0 => triple(r, mirror),
            1 => {
                let (host, _) = &hosts[r.below(hosts.len())];
                format!("{{ on = \"{host}\", part = {:.4} }}", r.between(0.1, 0.9))
            }
            2 => format!(
                "{{ on = \"rail\", x = {:.3}, by = [0, 0, {:.3}] }}",
                r.between(-1200.0, 1200.0) * unit,
                r.between(-40.0, 40.0) * unit
            ),
            _ => {
                let (host, _) = &hosts[r.below(hosts.len())];
                format!("{{ on = \"{host}\", at = {:.3} }}", r.between(60.0, 180.0) * unit)
            }
        };
        let (a, b) = (place(&mut r), place(&mut r));
        let state = ["", "", "", "temporary = true\n", "provisional = true\n"][r.below(5)];
        let name = format!("t{k}");
        match kind {
            // Straight, on both sides or one.
            0 | 1 | 3 => {
                let _ = writeln!(points, "{p} = {a}\n{q} = {b}");
                let mirror = if mirror { "mirror = true\n" } else { "" };
                let _ = write!(tubes, "[tube.{name}]\nsection = \"Brace\"\npath = [\"{p}\", \"{q}\"]\n{mirror}{state}");
            }
            // Across the centre plane, its own image.
            4 => {
                let _ = writeln!(points, "{p} = {}", triple(&mut r, true));
                let _ = write!(tubes, "[tube.{name}]\nsection = \"hoop\"\npath = [\"{p}\", \"{p}~\"]\n{state}");
            }
            // A hoop on both rails.
            5 => {
                let x = r.between(-1200.0, 1200.0);
                let (lean, w, h) = (r.between(-0.3, 0.3), r.between(420.0, 600.0), r.between(700.0, 1100.0));
                let _ = writeln!(
                    points,
                    "{p} = {{ on = \"rail\", x = {} }}\ns{k} = [{}, {}, {}]\nu{k} = [{}, {}, {}]",
                    x * unit,
                    (x + lean * h * 0.6) * unit,
                    w * unit,
                    h * 0.6 * unit,
                    (x + lean * h) * unit,
                    w * 0.6 * unit,
                    h * unit
                );
                let radius = if r.below(2) == 0 { "die = \"hoop\"" } else { "bend_radius = \"121.3 mm\"" };
                let _ = write!(
                    tubes,
                    "[tube.{name}]\nsection = \"hoop\"\npath = [\"{p}\", \"s{k}\", \"u{k}\", \"u{k}~\", \"s{k}~\", \"{p}~\"]\n{radius}\n{state}"
                );
            }
            // A bent tube in space, on both sides, two radii.
            _ => {
                let _ = writeln!(
                    points,
                    "{p} = [{}, {}, {}]\ns{k} = [{}, {}, {}]\nu{k} = [{}, {}, {}]\n{q} = [{}, {}, {}]",
                    r.between(600.0, 900.0) * unit,
                    r.between(400.0, 600.0) * unit,
                    r.between(0.0, 200.0) * unit,
                    r.between(500.0, 700.0) * unit,
                    r.between(500.0, 700.0) * unit,
                    r.between(800.0, 1000.0) * unit,
                    r.between(-300.0, -100.0) * unit,
                    r.between(300.0, 500.0) * unit,
                    r.between(900.0, 1200.0) * unit,
                    r.between(-900.0, -800.0) * unit,
                    r.between(500.0, 700.0) * unit,
                    r.between(0.0, 300.0) * unit
                );
                let _ = write!(
                    tubes,
                    "[tube.{name}]\nsection = \"hoop\"\npath = [\"{p}\", \"s{k}\", \"u{k}\", \"{q}\"]\nbend_radius = [{}, {}]\nmirror = true\n{state}",
                    r.between(80.0, 150.0) * unit,
                    r.between(80.0, 150.0) * unit
                );
            }
        }
        hosts.push((name, mirror));
    }
    let _ = write!(out, "[point]\n{points}{tubes}");
    out
}

#[test]
fn a_hundred_random_frames() {
    let (mut frames, mut twins, mut on, mut bent) = (0, 0, 0, 0);
    for seed in 0..400u64 {
        let text = random(seed, seed % 3 == 0);
        // Some are refused: something mirrored on the centre plane, or bends that do not fit.
        let Ok(reading) = design::read(&text) else { continue };
        let Ok(s) = shape::resolve(Arc::new(reading.design)) else { continue };
        let (out, there) = back(&s, &text);
        held(&s, &there, &format!("seed {seed}\n{text}\n{}", out.text));
        frames += 1;
        twins += out.mirrored;
        on += out.text.matches("{ on = ").count();
        bent += s.tubes.iter().filter(|t| !t.is_straight()).count();
        if frames == 100 {
            break;
        }
    }
    println!("{frames} frames, {twins} twins, {on} points on tubes, {bent} bent tubes");
    assert_eq!(frames, 100);
    assert!(twins > 300 && on > 300 && bent > 100, "{twins} {on} {bent}");
}

#[test]
fn the_demos_and_their_pieces() {
    for name in ["gorse", "wren"] {
        let file = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(file).unwrap();
        let s = shape(&text);
        let (out, there) = back(&s, &text);
        held(&s, &there, &format!("{name}: {}", out.text));
        // The program still knows what is cut to what: as many joints, and pieces of the same lengths.
        assert_eq!(s.joints.len(), there.joints.len(), "{name}");
    }
}

/// As another program would have drawn them: every line and arc by itself, without names, in any order, either way round.
#[test]
fn the_demos_as_nameless_lines_in_any_order() {
    for (name, seed) in [("gorse", 1), ("gorse", 2), ("wren", 3), ("wren", 4)] {
        let file = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(file).unwrap();
        let s = shape(&text);
        let mut drawing = drawing::dxf::read(centrelines::write(&s).as_bytes()).unwrap();
        drawing.ours = false;
        let mut r = Random(seed);
        for d in &mut drawing.drawn {
            d.name = None;
            d.tags.clear();
            if let drawing::Form::Spans(spans) = &mut d.form
                && r.below(2) == 0
            {
                *spans = spans.iter().rev().map(drawing::Span::reversed).collect();
            }
        }
        for k in (1..drawing.drawn.len()).rev() {
            drawing.drawn.swap(k, r.below(k + 1));
        }
        let forward = draft::Axis::from_word("x");
        let options = Options { forward, with: Some((&s.design, &text)), ..Options::new("back", "lines") };
        let out = draft(&drawing, &options).unwrap();
        let there = shape(&out.text);
        // What is temporary or provisional is lost with the names.
        let (mut a, mut b) = (tubes(&s), tubes(&there));
        a.iter_mut().chain(&mut b).for_each(|t| t.state = TubeState::Permanent);
        let lost: Vec<_> =
            a.iter().filter(|t| b.iter().position(|o| t.is(o)).map(|k| b.swap_remove(k)).is_none()).collect();
        assert!(
            lost.is_empty() && b.is_empty(),
            "{name}: {lost:#?} became {b:#?}\n{:#?}\n{:#?}",
            out.guessed,
            out.done
        );
    }
}
