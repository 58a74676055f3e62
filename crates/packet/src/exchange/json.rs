//! `packet.json`: every number, in SI units. `docs/packet-json.md` describes it.

use review::{Review, summary};
use serde_json::{Value, json};
use shape::End;

use crate::fitting;
use crate::sheet::Identity;

/// The whole packet as JSON.
pub fn packet(r: &Review, id: &Identity) -> Result<String, String> {
    let shape = &r.shape;
    let points: Vec<Value> =
        shape.design.points.iter().zip(shape.places.own()).map(|(p, at)| json!({ "name": p.name, "at": at })).collect();
    let tubes: Vec<Value> = shape
        .tubes
        .iter()
        .map(|t| {
            let f = &t.frames[0];
            json!({
                "name": t.name,
                "section": shape.design.sections[t.section.0].name,
                "state": t.state,
                "corners": t.chain.corners,
                "bend_radii": shape.design.tubes[t.id.0].bend_radii,
                "length": t.chain.length(),
                "scribe": f.u,
            })
        })
        .collect();
    let joints: Vec<Value> = shape
        .joints
        .iter()
        .map(|j| {
            let members: Vec<Value> = j
                .members
                .iter()
                .map(|m| {
                    json!({
                        "tube": shape.tubes[m.tube].name, "role": m.role, "station": m.station, "offset": m.offset,
                        "found": m.found,
                    })
                })
                .collect();
            json!({ "name": j.name, "at": j.at, "members": members })
        })
        .collect();
    let plates: Vec<Value> = shape
        .plates
        .iter()
        .map(|p| {
            json!({
                "name": p.name, "thickness": p.thickness, "area": p.area, "mass": p.mass, "corners": p.corners,
                "holes": p.holes, "origin": p.frame.origin, "x": p.frame.u, "y": p.frame.v, "faces": p.faces,
            })
        })
        .collect();
    let seats: Vec<_> = r
        .cutting
        .pieces
        .iter()
        .flat_map(|p| End::BOTH.map(|end| fitting::seats(r, p, end)).into_iter().flatten())
        .collect();
    let under = review::over::edge_over_nose(r);
    let all = json!({
        "format": "tubewright packet 1",
        "units": "SI: m, kg, N, J, N m, Pa, Hz, rad, m2, m3",
        "design": { "name": shape.design.name, "file": id.file, "sha256": id.hash, "units": shape.design.units,
            "skins": id.skins.iter().map(|(file, hash)| json!({ "file": file, "sha256": hash })).collect::<Vec<_>>() },
        "program": format!("tubewright {}", id.version),
        "summary": summary(r),
        "datum": shape.datum,
        "points": points,
        "tubes": tubes,
        "joints": joints,
        "plates": plates,
        "skins": review::skins(r),
        "curves": review::curves::of(r).iter().flatten().collect::<Vec<_>>(),
        "frame": r.frame,
        "laden": r.laden,
        "room": r.room,
        "pieces": r.cutting.pieces,
        "seats": seats,
        "ends": *review::ends::of(r),
        "welds": *review::welds::of(r),
        "ways_in": *review::ways_in::of(r),
        "stock": r.stock,
        "built": r.built.as_deref(),
        "rules": r.rules,
        "stance": r.stance,
        "strength": r.strength,
        "rollover": r.over,
        "under_run": under.as_ref().ok(),
        "findings": r.findings,
        "not_checked": ["welds as made", "fatigue", "rule books that the design does not name"],
    });
    serde_json::to_string(&all).map(|s| s + "\n").map_err(|e| format!("the JSON can't be written: {e}"))
}
