//! A small frame to start from.

use crate::model::Units;

/// A commented design of eight tubes that is read without a remark: box rails with their twins, a bent hoop, a bar in
/// it, stays and cross tubes. The geometry is our own.
pub fn starter(units: Units) -> String {
    match units {
        Units::Mm => include_str!("starter/millimetres.toml"),
        Units::In => include_str!("starter/inches.toml"),
    }
    .to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::TubeState;
    use crate::read;

    #[test]
    fn both_are_read_without_a_remark() {
        for units in [Units::Mm, Units::In] {
            let text = starter(units);
            let reading = read(&text).unwrap_or_else(|p| panic!("{}", crate::render(&p, "starter.toml", &text)));
            assert_eq!(reading.notes, []);
            let design = reading.design;
            assert_eq!(design.units, units);
            let tubes: usize = design.tubes.iter().map(|t| if t.mirror { 2 } else { 1 }).sum();
            assert_eq!(tubes, 8);
            assert!(design.tubes.iter().all(|t| t.state == TubeState::Permanent));
            assert_eq!(design.tubes.iter().filter(|t| !t.bend_radii.is_empty()).count(), 1);
        }
    }
}
