//! How it stands: every stance beside the others, then each on its own sheet, then obstacles.

mod drive;
pub mod ground;
mod plan;
mod side;
mod tables;

use design::TubeState;
use glam::DVec2;
use review::{Review, Text};
use shape::Level;

use super::labels;
use super::layout::{BODY, SMALL, Sheets};
use super::page::Ink;
use super::views::{Picture, View};
use ground::Car;

/// Title of these sheets.
pub const TITLE: &str = "stance";

/// What every sheet of this kind must say.
pub const CAUTION: &str = "Quasi-static and rigid: at speed, on soft ground and on worn tyres it clears less and tips sooner. Local rules and a licensed engineer prevail.";

/// Paper to a metre for which the frame is looked at once, mm.
const LOOKED: f64 = 60.0;

/// All sheets on how it stands.
pub fn pages(s: &mut Sheets, r: &Review, t: &Text) {
    let from = s.pages.len();
    let cars: Vec<Car> = (0..r.stance.stances.len()).filter_map(|k| Car::new(r, k)).collect();
    s.start_across(TITLE);
    s.heading("How it stands: all stances");
    missing(s, r);
    if !cars.is_empty() {
        tables::stances(s, r, t);
    }
    tables::measures(s, r, t);
    tables::rooms(s, r, t);
    if !cars.is_empty() && r.shape.tubes.iter().any(|t| t.state != TubeState::Temporary) {
        let (side, front) =
            rayon::join(|| Picture::new(r, View::SIDE, LOOKED), || Picture::new(r, View::FRONT, LOOKED));
        for car in &cars {
            sheet(s, car, t, &side, &front);
        }
        drive::pages(s, r, t, &cars, &side);
    }
    labels::caution(s, from, CAUTION);
}

/// In plain words why something is not there.
fn missing(s: &mut Sheets, r: &Review) {
    let list: Vec<_> = r.findings.iter().filter(|f| f.answer == "stance" && f.level == Level::NotChecked).collect();
    for f in list {
        let help = f.help.as_ref().map_or(String::new(), |h| format!(" ({h})"));
        s.paragraph(&format!("Not checked: {}{help}.", f.what), BODY, Ink::Black);
    }
}

/// Height of the lower half of a stance's sheet, mm.
const LOWER: f64 = 70.0;

fn sheet(s: &mut Sheets, car: &Car, t: &Text, side: &Picture, front: &Picture) {
    s.start_across(TITLE);
    s.heading(&format!("Stance: {}", car.stood.name));
    let (x, y) = (s.left(), s.y + 2.6);
    let note = car.stood.note.clone().unwrap_or_default();
    let note = s.faces[0].fit(&note, BODY, s.width());
    s.page().text(x, y, BODY, note);
    s.y += 4.0;
    let (left, top) = (s.left(), s.y);
    let lower = s.bottom() - LOWER;
    let size = DVec2::new(s.width(), lower - top - 3.0);
    let scale = side::draw(s, car, t, side, DVec2::new(left, top), size);
    let whole = s.width();
    let (a, b) = (0.25 * whole, 0.36 * whole);
    let high = LOWER - 2.0;
    plan::front(s, car, front, DVec2::new(left, lower), DVec2::new(a, high - 4.0));
    plan::above(s, car, t, DVec2::new(left + a + 4.0, lower), DVec2::new(b - 4.0, high - 4.0));
    let x = left + a + b + 4.0;
    tables::figures(s, car, t, DVec2::new(x, lower), whole - a - b - 4.0);
    let one = 1e3 / scale;
    let words = format!(
        "Side view 1 : {}, forward left. Blue: centre of gravity, tyre tangents. Dashed: inside the frame.",
        one.round()
    );
    let y = s.bottom() - 1.6;
    s.page().text(left, y, SMALL, words).ink(Ink::Grey);
}

/// An angle of a stance: to a tenth of a degree.
fn degrees(rad: f64) -> String {
    format!("{:.1}°", rad.to_degrees() + 0.0)
}

/// What axles are called, front to rear.
fn axle_names(n: usize) -> Vec<String> {
    match n {
        0 => Vec::new(),
        1 => vec!["axle".into()],
        2 => vec!["front axle".into(), "rear axle".into()],
        _ => (1..=n).map(|k| format!("axle {k}")).collect(),
    }
}
