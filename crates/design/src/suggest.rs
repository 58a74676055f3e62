//! "Did you mean": the nearest of several names.

/// The name nearest to what was written, if it is near enough to be a slip of the hand.
///
/// Near: the same but for case, dashes and underscores; or one contains the other; or at most a third of the letters differ.
pub fn nearest<'a>(written: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // Longer than any name that a file may hold: not worth the time.
    const LONGEST: usize = 80;
    if written.len() > LONGEST {
        return None;
    }
    let plain = simplify(written);
    // One letter of two is no slip: `cm` is not `mm`.
    let allowed = if plain.len() < 3 { 0 } else { (plain.len() / 3).max(1) };
    let mut best: Option<(usize, &str)> = None;
    for name in names {
        let other = simplify(name);
        let limit = best.map_or(allowed, |(d, _)| d.saturating_sub(1));
        let distance = if plain == other {
            0
        } else if plain.len() >= 3 && other.len() >= 3 && (other.contains(&plain) || plain.contains(&other)) {
            allowed
        } else if plain.len().abs_diff(other.len()) > limit {
            continue;
        } else {
            distance(plain.as_bytes(), other.as_bytes()).max(1)
        };
        if distance <= allowed && best.is_none_or(|(d, _)| distance < d) {
            best = Some((distance, name));
        }
    }
    best.map(|(_, name)| name)
}

fn simplify(name: &str) -> String {
    name.chars().filter(|c| !matches!(c, '_' | '-' | ' ')).flat_map(char::to_lowercase).collect()
}

/// Letters to add, drop, change or swap with the next one (optimal string alignment).
fn distance(a: &[u8], b: &[u8]) -> usize {
    let mut before_last = vec![0; b.len() + 1];
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let change = last[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            row[j] = change.min(last[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before_last[j - 2] + 1);
            }
        }
        before_last = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances() {
        assert_eq!(distance(b"", b"abc"), 3);
        assert_eq!(distance(b"hoop", b"hoop"), 0);
        assert_eq!(distance(b"hoop", b"hopo"), 1);
        assert_eq!(distance(b"kitten", b"sitting"), 3);
    }

    #[test]
    fn slips_are_found_and_strangers_are_not() {
        let names = ["hoop_top", "hoop_foot", "rail", "sill"];
        assert_eq!(nearest("hoop_tpo", names), Some("hoop_top"));
        assert_eq!(nearest("Hoop-Foot", names), Some("hoop_foot"));
        assert_eq!(nearest("railing", names), Some("rail"));
        assert_eq!(nearest("gearbox", names), None);
        assert_eq!(nearest("cm", ["mm", "in"]), None);
        assert_eq!(nearest("MM", ["mm", "in"]), Some("mm"));
        assert_eq!(nearest("", names), None);
        assert_eq!(nearest(&"x".repeat(10_000), names), None);
    }
}
