//! Skins as things that may touch the ground: their outlines as one stance sees them from the side.

use design::WheelId;
use geometry::DVec3;
use shape::{Shape, Skin};

use crate::ground::Ground;
use crate::solids::{Kind, Part, Thing};
use crate::wheels::Standing;

/// How far a skin has moved with its wheel's hub.
fn shift(skin: &Skin, wheels: &[Standing]) -> DVec3 {
    let with = |id: WheelId| {
        let mut own = wheels.iter().filter(|w| w.id == id);
        let first = own.next();
        // A twin rides with the wheel's twin, if there is one.
        if skin.twin { own.next().or(first) } else { first }
    };
    DVec3::Z * skin.rides.and_then(with).map_or(0.0, |w| w.travel)
}

/// A thing for each named part of each skin. What is above its outline from below never comes first, so the edges of the
/// outline stand for all of it.
pub(crate) fn things(shape: &Shape, wheels: &[Standing], ground: &Ground) -> Vec<Thing> {
    let mut out = Vec::new();
    for skin in &shape.skins.list {
        let shift = shift(skin, wheels);
        let single = skin.parts.len() == 1;
        for (k, part) in skin.parts.iter().enumerate() {
            let parts: Vec<Part> =
                skin.outline(k, ground.left).map(|[a, b]| Part::Edge(a + shift, b + shift)).collect();
            if parts.is_empty() {
                continue;
            }
            let name =
                if single || part.name.is_empty() { skin.name.clone() } else { format!("{}/{}", skin.name, part.name) };
            out.push(Thing { name, kind: Kind::Skin, tube: None, body: None, unsprung: skin.rides.is_some(), parts });
        }
    }
    out
}
