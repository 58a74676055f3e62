//! How long a large drawing takes from bytes to a design file.

use std::fmt::Write;

use draft::{Options, draft};

fn main() {
    divan::main();
}

/// A tower of square bays as 20,000 lines of text: legs in pieces, rings, braces and ties.
fn tower(lines: usize) -> String {
    let mut out = String::from("0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n");
    let mut n = 0;
    let mut bay = 0;
    let corner = |k: usize| [[300.0, 200.0], [-300.0, 200.0], [-300.0, -200.0], [300.0, -200.0]][k % 4];
    while n < lines {
        let (ring, level) = (bay % 40, bay / 40);
        let (x, z) = (ring as f64 * 700.0, level as f64 * 400.0);
        for k in 0..4 {
            let (a, b) = (corner(k), corner(k + 1));
            for (layer, from, to) in [
                ("leg", [x + a[0], a[1], z], [x + a[0], a[1], z + 400.0]),
                ("ring", [x + a[0], a[1], z], [x + b[0], b[1], z]),
                ("brace", [x + a[0], a[1], z], [x + b[0], b[1], z + 400.0]),
                ("tie", [x + a[0], a[1], z], [x + a[0] + 50.0, a[1], z + 200.0]),
            ] {
                let _ = write!(out, "0\nLINE\n8\n{layer}\n");
                for (k, v) in from.iter().enumerate() {
                    let _ = write!(out, "{}\n{v}\n", 10 * (k + 1));
                }
                for (k, v) in to.iter().enumerate() {
                    let _ = write!(out, "{}\n{v}\n", 10 * (k + 1) + 1);
                }
                n += 1;
            }
        }
        bay += 1;
    }
    out + "0\nENDSEC\n0\nEOF\n"
}

#[divan::bench(args = [1_000, 5_000, 20_000], max_time = 10)]
fn a_tower(bencher: divan::Bencher, lines: usize) {
    let text = tower(lines);
    bencher.bench(|| {
        let drawing = drawing::dxf::read(text.as_bytes()).unwrap();
        draft(&drawing, &Options::new("tower", "tower.dxf")).unwrap()
    });
}

/// Lines anywhere in a room of 20 m.
#[divan::bench(args = [1_000, 19_900], max_time = 10)]
fn lines_anywhere(bencher: divan::Bencher, lines: usize) {
    let mut seed = 5u64;
    let mut random = || {
        seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (seed >> 33) as f64 / (1u64 << 31) as f64
    };
    let mut text = String::from("0\nSECTION\n2\nENTITIES\n");
    for _ in 0..lines {
        text += "0\nLINE\n8\na\n";
        let from: Vec<f64> = (0..3).map(|_| random() * 20_000.0).collect();
        for (k, v) in from.iter().enumerate() {
            let _ = write!(text, "{}\n{v}\n{}\n{}\n", 10 * (k + 1), 10 * (k + 1) + 1, v + random() * 1500.0);
        }
    }
    text += "0\nENDSEC\n0\nEOF\n";
    let options = Options { unit: Some(drawing::Unit::Mm), ..Options::new("room", "room.dxf") };
    bencher.bench(|| draft(&drawing::dxf::read(text.as_bytes()).unwrap(), &options).unwrap());
}
