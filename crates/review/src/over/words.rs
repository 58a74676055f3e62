//! Attitudes in words.

use geometry::DVec3;
use rollover::Attitude;

/// A car leans, rather than lies, where its own up is within this of the ground's, as a cosine: 45 degrees.
const HALF_WAY: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// A part of the ground's direction that is worth a word: the sine of 15 degrees.
const WORTH: f64 = 0.258_819;

/// An attitude in words, from the ground's outward normal (down) in the car's axes: `on its roof, tail down`.
pub fn attitude_words(down: DVec3) -> String {
    let d = down.normalize_or_zero();
    let lies = [
        (-d.z, "on its wheels"),
        (d.z, "on its roof"),
        (d.y, "on its left side"),
        (-d.y, "on its right side"),
        (d.x, "on its nose"),
        (-d.x, "on its tail"),
    ];
    let leans = [
        (d.z, "roof down"),
        (d.y, "left side down"),
        (-d.y, "right side down"),
        (d.x, "nose down"),
        (-d.x, "tail down"),
    ];
    let (most, main) = lies.iter().copied().fold((f64::NEG_INFINITY, ""), |m, x| if x.0 > m.0 { x } else { m });
    let axis = |word: &str| {
        word.split(' ').find(|w| ["roof", "left", "right", "nose", "tail", "wheels"].contains(w)).map(str::to_owned)
    };
    let mut out = main.to_owned();
    for (part, word) in leans {
        if part > WORTH && axis(word) != axis(main) && (most < 1.0 - 1e-9 || part > HALF_WAY) {
            out.push_str(", ");
            out.push_str(word);
        }
    }
    out
}

/// Every attitude in words. Of those that the words say alike, each is told with what it rests on and another of them does
/// not; where that does not tell them apart either, with its number.
pub fn told_apart(list: &[Attitude], words: &dyn Fn(&Attitude) -> String) -> Vec<String> {
    let plain: Vec<String> = list.iter().map(words).collect();
    let on = |k: usize| list[k].contacts.iter().map(|c| c.body.as_str());
    let more = |k: usize| {
        let alike: Vec<usize> = (0..list.len()).filter(|&j| j != k && plain[j] == plain[k]).collect();
        let own: Vec<&str> = on(k).filter(|b| alike.iter().any(|&j| !on(j).any(|c| c == *b))).collect();
        if own.is_empty() { plain[k].clone() } else { format!("{}, on {}", plain[k], own.join(" and ")) }
    };
    let full: Vec<String> = (0..list.len()).map(more).collect();
    let number = |k: usize| match full.iter().filter(|f| **f == full[k]).count() {
        1 => full[k].clone(),
        _ => format!("{} (no {})", full[k], k + 1),
    };
    (0..list.len()).map(number).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn alike_attitudes_are_told_apart() {
        let rests = |bodies: &[&str]| Attitude {
            normal: DVec3::Z,
            rotation: [0.0, 0.0, 0.0, 1.0],
            kind: rollover::Kind::Flat,
            height: 1.0,
            foot: DVec3::ZERO,
            contacts: bodies.iter().map(|b| rollover::Contact { body: (*b).into(), at: Vec::new() }).collect(),
            edges: Vec::new(),
            margin: None,
            worst: None,
            shallow: false,
            marginal: false,
            share: 0.1,
        };
        let list = [rests(&["hoop", "bar"]), rests(&["hoop", "bar", "front"]), rests(&["hoop", "bar", "front~"])];
        let words = told_apart(&list, &|_| "on its roof".into());
        assert_eq!(words, ["on its roof", "on its roof, on front", "on its roof, on front~"]);
        let words = told_apart(&[list[0].clone(), list[0].clone()], &|_| "on its roof".into());
        assert_eq!(words, ["on its roof (no 1)", "on its roof (no 2)"]);
        assert_eq!(told_apart(&list[..1], &|_| "on its roof".into()), ["on its roof"]);
    }

    #[test]
    fn the_six_sides_and_between() {
        for (d, words) in [
            (DVec3::NEG_Z, "on its wheels"),
            (DVec3::Z, "on its roof"),
            (DVec3::Y, "on its left side"),
            (DVec3::NEG_Y, "on its right side"),
            (DVec3::X, "on its nose"),
            (DVec3::NEG_X, "on its tail"),
            (DVec3::new(-0.4, 0.0, 1.0), "on its roof, tail down"),
            (DVec3::new(0.0, 0.5, 1.0), "on its roof, left side down"),
            (DVec3::new(0.5, -1.0, 0.4), "on its right side, roof down, nose down"),
            (DVec3::new(-0.1, 0.1, 1.0), "on its roof"),
        ] {
            assert_eq!(attitude_words(d), words, "{d}");
        }
    }
}
