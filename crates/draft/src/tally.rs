//! What became of lines that are bent, counted and told.

use crate::{Told, count};

/// Counts of bent lines.
#[derive(Debug, Default)]
pub(crate) struct Tally {
    /// Flowing lines that have a die.
    pub drawn: usize,
    /// Lines that were bent anew on their die.
    pub bent: usize,
    /// Of these, farther from the drawing than the tolerance.
    pub far: usize,
    /// Flowing lines that stay curves.
    pub left: usize,
    /// Bent tubes without a die.
    pub other: usize,
    /// With arcs that are bent in parts.
    pub long: usize,
    /// That are no legs and bends.
    pub kinked: usize,
    /// Made of straight tubes.
    pub sharp: usize,
    /// How far those with another radius than the die's are from the drawing, m.
    pub fillets: Vec<f64>,
}

impl Tally {
    /// Says it. `within`: the tolerance of flowing lines, m.
    pub fn tell(&self, within: f64, told: &mut Told) {
        let tubes = |n| count(n, "bent tube", "bent tubes");
        let mm = |m: f64| format!("{:.2} mm", m * 1e3);
        let mut say = |n: usize, words: String| {
            if n > 0 {
                told.guess(words);
            }
        };
        let lines = count(self.sharp, "bent line is made", "bent lines are made");
        say(
            self.sharp,
            format!(
                "{lines} of straight tubes from corner to corner: box tube, or drawn with a radius within the tube itself"
            ),
        );
        let lines = count(self.bent, "line", "lines");
        say(
            self.bent,
            format!(
                "{lines} bent anew on the die with the fewest bends ({} of them drawn flowing); each says how far it is from the drawing",
                self.drawn
            ),
        );
        let are = if self.far == 1 { "is" } else { "are" };
        say(
            self.far,
            format!(
                "{} of them {are} farther from the drawing than {}: the die's radius is too large for it",
                self.far,
                mm(within)
            ),
        );
        let most = self.fillets.iter().copied().fold(0.0, f64::max);
        say(
            self.fillets.len(),
            format!(
                "{} drawn with another radius than the die's: bent to the die's, up to {} beside the drawing",
                tubes(self.fillets.len()),
                mm(most)
            ),
        );
        say(
            self.other,
            format!(
                "{} to the radius that is drawn, since no die is known: --with or --bend tells one",
                tubes(self.other)
            ),
        );
        let lines = count(self.left, "flowing line is", "flowing lines are");
        say(
            self.left,
            format!("{lines} kept as [curve]: with a die, `tubewright shape --curve NAME --write` makes a tube of it"),
        );
        say(self.long, format!("{}: arcs of more than 170 degrees are bent in parts", tubes(self.long)));
        let lines = count(self.kinked, "bent line", "bent lines");
        say(self.kinked, format!("left out: {lines} whose arcs and lines do not fit together as legs and bends"));
    }
}
