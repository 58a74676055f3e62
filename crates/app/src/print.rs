//! Documents asked for from the page.

use std::fmt::Write;
use std::path::Path;
use std::sync::Arc;

use cutting::Detail;
use packet::sheet::Identity;
use review::{Review, Text};
use strength::Depth;

use crate::{files, skins};

/// The packet's PDF of a text; `link` as in [`Identity::link`].
///
/// # Errors
/// Why there is none, in words.
pub fn packet(path: &Path, text: &str, link: Option<String>) -> Result<Vec<u8>, String> {
    let file = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let read = design::read(text).map_err(|p| design::render(&p, &file, text))?;
    let design = Arc::new(read.design);
    let (given, hashes) = crate::curves::given(path, &design);
    let mut r = review::with_given(design, &given, &review::Made::default(), Detail::SHEET, Depth::Full)
        .map_err(|p| design::render(&p, &file, text))?;
    let made = crate::made::beside(path, &r)?;
    if made != review::Made::default() {
        r.made(&made);
    }
    crate::measured::lay(&crate::measured::sheet_of(path), &mut r, &made)?;
    let id = Identity {
        file,
        hash: skins::sha256(text.as_bytes()),
        skins: hashes,
        date: files::today(),
        version: env!("CARGO_PKG_VERSION").to_owned(),
        link,
    };
    packet::sheet::pdf(&r, &id)
}

/// Width of the picture of the sticks.
const WIDTH: f64 = 900.0;
/// From one stick to the next.
const ROW: f64 = 46.0;
const BAR: f64 = 24.0;

fn escaped(s: &str) -> String {
    s.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// The sticks with what is cut from each, as SVG; its classes are for the page to colour.
pub fn sticks(r: &Review) -> String {
    let t = Text::new(&r.shape.design);
    let longest = r.stock.sections.iter().flat_map(|p| &p.sticks).map(|k| k.length).fold(0.1, f64::max);
    let scale = WIDTH / longest;
    let mut body = String::new();
    let mut y = 0.0;
    for s in &r.stock.sections {
        y += 26.0;
        let _ = write!(body, "<text class=\"head\" x=\"0\" y=\"{y}\">{}</text>", escaped(&s.section));
        for k in &s.sticks {
            y += ROW;
            let from = review::steel::from(k);
            let words =
                format!("{} · {} · {from} · left over {}", k.mark, t.length_unit(k.length), t.length_unit(k.offcut));
            let _ = write!(body, "<text class=\"stick\" x=\"0\" y=\"{}\">{}</text>", y - BAR - 6.0, escaped(&words));
            let _ = write!(
                body,
                "<rect class=\"whole\" x=\"0\" y=\"{}\" width=\"{:.1}\" height=\"{BAR}\"/>",
                y - BAR,
                k.length * scale
            );
            for c in &k.cuts {
                let (x, w) = (c.from * scale, (c.to - c.from) * scale);
                let name = escaped(&c.name);
                let _ = write!(
                    body,
                    "<g class=\"piece\" data-piece=\"{name}\"><title>{name}, {}</title><rect x=\"{x:.1}\" y=\"{}\" \
                     width=\"{w:.1}\" height=\"{BAR}\"/>",
                    t.length_unit(c.to - c.from),
                    y - BAR
                );
                // A letter is a little over half as wide as it is high.
                if c.name.chars().count() as f64 * 6.5 < w {
                    let _ = write!(body, "<text x=\"{:.1}\" y=\"{}\">{name}</text>", x + w / 2.0, y - 8.0);
                }
                body += "</g>";
            }
        }
        y += 10.0;
    }
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"sticks\" viewBox=\"0 0 {WIDTH} {:.0}\" role=\"img\"><title>Which stick \
         each piece comes from</title>{body}</svg>",
        y + 10.0
    )
}
