//! Stiffness as a rig measures it, and natural frequencies.

use glam::DVec2;
use review::{Review, Text};
use strength::Answer;

use super::super::layout::{BODY, SMALL, Sheets, number, prose};
use super::super::page::{Anchor, Ink};
use super::super::views::{self, View};
use super::{percent, thick};

/// Tubes whose shares are told.
const SHARES: usize = 8;
/// Height of a picture, mm.
const HIGH: f64 = 46.0;
/// Between both, mm.
const GAP: f64 = 6.0;

/// Torsion and bending side by side: what gives, by tube.
pub fn stiffness(s: &mut Sheets, r: &Review, t: &Text) {
    let Some(rig) = &r.strength.rig else { return };
    s.need(HIGH + 70.0);
    s.heading("Stiffness as on a rig");
    let [fl, fr, rl, rr] = &rig.places;
    let text = format!(
        "Held at {rl} and {rr}. Torsion: a couple at {fl} and {fr} for the twist of the front against the rear. Bending: a force in \
         the middle, over {} joints of the floor, for its sag. The thicker a tube, the more of the give is in it, beside the tube with \
         most.",
        rig.middle.len()
    );
    s.paragraph(&text, SMALL, Ink::Grey);
    let wide = (s.width() - GAP) / 2.0;
    let top = s.y + 1.0;
    let both = [
        ("torsion", t.torsion(rig.torsion), &rig.torsion_shares),
        ("bending", t.rate(rig.bending), &rig.bending_shares),
    ];
    for (k, (name, value, shares)) in both.into_iter().enumerate() {
        let x = s.left() + (wide + GAP) * k as f64;
        s.page().text(x, top + 3.5, BODY, name).bold();
        s.page().text(x + wide, top + 3.5, BODY, value).bold().anchor(Anchor::Right);
        let place =
            views::place(r, View::slant(), DVec2::new(x, top + 6.0), DVec2::new(wide, HIGH - 2.0), false, false);
        let most = shares.first().map_or(1.0, |f| f.1).max(f64::MIN_POSITIVE);
        let part = |tube: &str| shares.iter().find(|x| x.0 == tube).map(|x| x.1 / most);
        thick::frame(s.page(), r, &place, &part);
        let mut y = top + 6.0 + HIGH;
        for (tube, share) in shares.iter().take(SHARES) {
            y += SMALL * 1.36;
            let words = s.faces[0].fit(tube, SMALL, wide - 14.0);
            s.page().text(x, y, SMALL, words);
            s.page().text(x + wide, y, SMALL, percent(*share)).anchor(Anchor::Right);
        }
    }
    s.y = top + 6.0 + HIGH + SMALL * 1.36 * SHARES as f64 + 2.0;
}

/// Natural frequencies.
pub fn vibration(s: &mut Sheets, a: &Answer) {
    if a.vibration.is_empty() {
        return;
    }
    // Few enough rows to stay together.
    s.need(24.0 + 5.2 * a.vibration.len().min(12) as f64);
    s.heading("Natural frequencies");
    let text = "Of the frame floating with what it carries, wheels left out, nothing damped. The second figure, with tubes cut half as \
                fine, shows how far the cutting matters.";
    s.paragraph(text, SMALL, Ink::Grey);
    let rows: Vec<Vec<String>> = a
        .vibration
        .iter()
        .enumerate()
        .map(|(k, v)| {
            let tubes: Vec<String> = v.tubes.iter().map(|(n, p)| format!("{n} {:.0} %", 100.0 * p)).collect();
            vec![(k + 1).to_string(), format!("{:.2}", v.frequency), format!("{:.2}", v.coarse), tubes.join(", ")]
        })
        .collect();
    let columns = [number("no"), number("Hz"), number("half as fine"), prose("most of its energy in")];
    s.table(&columns, &rows, SMALL);
}
