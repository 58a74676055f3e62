//! How forces are passed on: K, T, X; planes.

use std::f64::consts::PI;

use strength::joints::{Brace, Hollow, Kind, Node, Report, Rules, check};

use crate::common::{apart, boxed, brace, checked, chord, near, opposite, rad, refused, round};

/// The share that a neighbour balances decides between K, Y and X (the rule of 20 %).
#[test]
fn forces_split_by_what_balances_them() {
    let (c, b) = (round(0.0889, 0.004), round(0.0424, 0.003));
    let pair = |left: f64, right: f64| {
        let p = apart(brace("l", b, 135.0, left), brace("r", b, 45.0, right), 0.02, 0.0889);
        check(&Node { chord: chord(c), braces: p.to_vec() }, &Rules::default())
    };
    let kinds = |r: &Report| checked(r).parts.iter().map(|p| p.kind).collect::<Vec<_>>();
    let r = pair(-10e3, 8e3);
    assert_eq!((kinds(&r[0]), kinds(&r[1])), (vec![Kind::K], vec![Kind::K]));
    let r = pair(-10e3, 7.9e3);
    assert_eq!((kinds(&r[0]), kinds(&r[1])), (vec![Kind::K, Kind::Y], vec![Kind::K]));
    let parts = &checked(&r[0]).parts;
    near(parts[0].force, 7.9e3, 1e-12);
    near(parts[1].force, 2.1e3, 1e-12);
    let sum = 7.9e3 / parts[0].governing.value + 2.1e3 / parts[1].governing.value;
    near(checked(&r[0]).axial, sum, 1e-12);
    // Both pull: each is held against the sum.
    let r = pair(6e3, 4e3);
    for r in &r {
        assert_eq!(kinds(r), vec![Kind::Y]);
        near(checked(r).parts[0].force, 10e3, 1e-12);
    }
    // Pressed from both sides unequally: what meets goes through, the rest is a beam's load.
    let up = brace("up", b, 90.0, -10e3);
    let down = opposite(brace("down", b, 90.0, -4e3));
    let r = check(&Node { chord: chord(c), braces: vec![up.clone(), down] }, &Rules::default());
    assert_eq!((kinds(&r[0]), kinds(&r[1])), (vec![Kind::X, Kind::T], vec![Kind::X]));
    near(checked(&r[0]).parts[0].force, 4e3, 1e-12);
    near(checked(&r[0]).parts[1].force, 6e3, 1e-12);
    // Pushed through in one direction: no X.
    let down = opposite(brace("down", b, 90.0, 10e3));
    let r = check(&Node { chord: chord(c), braces: vec![up, down] }, &Rules::default());
    assert_eq!((kinds(&r[0]), kinds(&r[1])), (vec![Kind::T], vec![Kind::T]));
    // No force at all.
    let r = pair(0.0, 0.0);
    assert_eq!(checked(&r[0]).utilisation, Some(0.0));
    // N, and braces that lean the same way.
    let p = apart(brace("post", b, 90.0, -1e3), brace("r", b, 45.0, 1e3 / rad(45.0).sin()), 0.01, 0.0889);
    let r = check(&Node { chord: chord(c), braces: p.to_vec() }, &Rules::default());
    assert_eq!(kinds(&r[0]), vec![Kind::N]);
    let p = apart(brace("a", b, 35.0, -1e3), brace("b", b, 68.0, 1e3), 0.01, 0.0889);
    let p = p.map(|b| Brace { station: -b.station, ..b });
    let e = refused(&Node { chord: chord(c), braces: p.to_vec() }, 0);
    assert!(e.range.is_none() && e.why.contains("same way") || e.range.is_some(), "{e:?}");
}

/// A neighbour that carries nothing balances nothing: the K is a Y, the X a T, to the last digit.
#[test]
fn idle_neighbours_make_no_k_and_no_x() {
    let alone =
        |b: Brace| check(&Node { chord: chord(round(0.0483, 0.003)), braces: vec![b] }, &Rules::default()).remove(0);
    let s = round(0.0337, 0.003);
    let pair = apart(brace("l", s, 135.0, -5e3), brace("r", s, 45.0, 0.0), 0.015, 0.0483);
    let both = check(&Node { chord: chord(round(0.0483, 0.003)), braces: pair.to_vec() }, &Rules::default());
    let (k, y) = (checked(&both[0]).clone(), checked(&alone(pair[0].clone())).clone());
    assert_eq!((k.parts.len(), k.parts[0].kind), (1, Kind::Y));
    assert_eq!(k, y);
    assert_eq!(checked(&both[1]).utilisation, Some(0.0));
    let up = brace("up", s, 90.0, -5e3);
    let mut down = opposite(up.clone());
    down.tension = 0.0;
    let both = check(&Node { chord: chord(round(0.0483, 0.003)), braces: vec![up.clone(), down] }, &Rules::default());
    assert_eq!(checked(&both[0]), checked(&alone(up)));
}

/// KT (table 7.6): mean of the three diameters, sums of what is of one sign; X on two braces: their sum.
#[test]
fn three_braces_on_one_side() {
    let c = round(0.1143, 0.005);
    let (b, m) = (round(0.0424, 0.003), round(0.0337, 0.003));
    let mut braces = apart(brace("l", b, 145.0, -6e3), brace("r", b, 35.0, -6e3), 0.06, 0.1143).to_vec();
    let post = 12e3 * rad(35.0).sin();
    braces.push(brace("post", m, 90.0, post));
    let gap: f64 = (0.06 - 0.0337) / 2.0;
    let reports = check(&Node { chord: chord(c), braces }, &Rules::default());
    let gamma: f64 = 114.3 / 10.0;
    let kg = gamma.powf(0.2) * (1.0 + 0.024 * gamma.powf(1.2) / (1.0 + (0.5 * gap / 0.005 - 1.33).exp()));
    let up = kg * 355e6 * 25e-6 * (1.8 + 10.2 * (42.4 + 42.4 + 33.7) / 3.0 / 114.3);
    for r in &reports {
        let part = &checked(r).parts[0];
        assert_eq!((part.kind, checked(r).parts.len()), (Kind::KT, 1));
        near(part.utilisation, post / up, 1e-9);
    }
}

/// Braces in two planes (tables 7.7 and 7.16).
#[test]
fn planes_count_within_their_angles() {
    let (c, b) = (round(0.0889, 0.004), round(0.0424, 0.003));
    let at = |mut x: Brace, azimuth: f64, name: &str| {
        x.azimuth = rad(azimuth);
        x.name = name.into();
        x
    };
    let run = |c: Hollow, braces: Vec<Brace>| check(&Node { chord: chord(c), braces }, &Rules::default());
    let post = brace("post", b, 90.0, 1e3);
    for phi in [60.0, 75.0, 90.0] {
        let r = run(c, vec![at(post.clone(), 10.0, "a"), at(post.clone(), 10.0 + phi, "b")]);
        assert_eq!(checked(&r[0]).planes, 1.0);
    }
    for phi in [59.9, 90.1, 120.0, 40.0] {
        let node = Node { chord: chord(c), braces: vec![at(post.clone(), 0.0, "a"), at(post.clone(), phi, "b")] };
        assert_eq!(refused(&node, 0).clause, "EN 1993-1-8, table 7.7");
    }
    // Box chord, boxes: 0.9.
    let (bc, bb) = (boxed(0.08, 0.08, 0.004), boxed(0.04, 0.04, 0.003));
    let r = run(bc, vec![at(brace("p", bb, 90.0, 1e3), 0.0, "a"), at(brace("p", bb, 90.0, 1e3), 90.0, "b")]);
    let one = run(bc, vec![brace("p", bb, 90.0, 1e3)]);
    near(checked(&r[0]).parts[0].governing.value, 0.9 * checked(&one[0]).parts[0].governing.value, 1e-12);
    // X in two planes: 1 + 0.33 N2/N1 with its sign.
    for (n1, n2, mu) in [(1e3, 0.5e3, 1.165), (-1e3, 0.5e3, 0.835), (0.2e3, -1e3, 0.934), (1e3, 1e3, 1.33)] {
        let four = [(0.0, n1), (90.0, n2), (180.0, n1), (270.0, n2)];
        let r = run(c, four.iter().map(|&(a, n)| at(brace("p", b, 90.0, n), a, &a.to_string())).collect());
        for r in &r {
            near(checked(r).planes, mu, 1e-12);
        }
    }
    // K in two planes: 0.9, and the chord in the gap.
    let pair = apart(brace("l", b, 135.0, -10e3), brace("r", b, 45.0, 10e3), 0.02, 0.0889);
    let both: Vec<Brace> = [0.0, 90.0]
        .iter()
        .flat_map(|&a| pair.iter().map(move |p| at(p.clone(), a, &format!("{}{a}", p.name))))
        .collect();
    let mut node = Node { chord: chord(c), braces: both };
    let along = 10e3 * rad(45.0).cos();
    node.chord.after[0] = -4.0 * along;
    for r in check(&node, &Rules::default()) {
        let c0 = checked(&r);
        assert_eq!((c0.planes, c0.parts[0].kind), (0.9, Kind::K));
        // Half of it all passes through the gap; shear of two planes square to each other.
        let (n, v) = (2.0 * along / (c.area * 355e6), along * 2f64.sqrt() / (2.0 * c.area / PI * 355e6 / 3f64.sqrt()));
        near(c0.chord.unwrap(), n * n + v * v, 1e-9);
    }
    // A K beside a T: not in the table.
    let mut mixed = pair.to_vec();
    mixed.push(at(brace("post", b, 90.0, 5e3), 90.0, "post"));
    assert_eq!(refused(&Node { chord: chord(c), braces: mixed }, 0).clause, "EN 1993-1-8, table 7.7");
    // Three planes.
    let fan = [0.0, 60.0, 120.0].map(|a| at(post.clone(), a, &a.to_string()));
    assert!(refused(&Node { chord: chord(c), braces: fan.to_vec() }, 0).why.contains("3 planes"));
}
