//! Pages to PDF, true to scale.

use krilla::color::rgb;
use krilla::geom::{PathBuilder, Point, Transform};
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Stroke, StrokeDash};
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document, surface::Surface};

use super::face::{self, Face};
use super::page::{Anchor, Ink, Item, Page, Pen, Text};

/// Points to a millimetre.
const PT: f64 = 72.0 / 25.4;

fn colour(ink: Ink) -> rgb::Color {
    let [r, g, b] = ink.rgb();
    rgb::Color::new(r, g, b)
}

fn fill(ink: Ink) -> Fill {
    Fill { paint: colour(ink).into(), opacity: NormalizedF32::ONE, rule: FillRule::EvenOdd }
}

fn stroke(pen: &Pen) -> Stroke {
    Stroke {
        paint: colour(pen.ink).into(),
        width: (pen.width * PT) as f32,
        miter_limit: 4.0,
        // Butt ends: tubes are drawn as strokes that meet end to end.
        line_cap: LineCap::Butt,
        line_join: LineJoin::Round,
        opacity: NormalizedF32::ONE,
        dash: pen.dash.map(|d| StrokeDash { array: vec![(d * PT) as f32; 2], offset: 0.0 }),
    }
}

struct Writer {
    faces: [Face; 2],
    fonts: [Font; 2],
}

/// The pages as one PDF.
pub fn write(pages: &[Page]) -> Result<Vec<u8>, String> {
    let font = |data: &'static [u8]| Font::new(data.into(), 0).ok_or("the built-in font can't be embedded".to_owned());
    let writer =
        Writer { faces: [Face::new(false)?, Face::new(true)?], fonts: [font(face::REGULAR)?, font(face::BOLD)?] };
    let mut document = Document::new();
    for page in pages {
        let settings = PageSettings::from_wh((page.width * PT) as f32, (page.height * PT) as f32)
            .ok_or_else(|| format!("a page of {} x {} mm can't be made", page.width, page.height))?;
        let mut sheet = document.start_page_with(settings);
        let mut surface = sheet.surface();
        for item in &page.items {
            writer.item(&mut surface, item);
        }
        surface.finish();
        sheet.finish();
    }
    document.finish().map_err(|e| format!("the PDF can't be written: {e:?}"))
}

impl Writer {
    fn item(&self, s: &mut Surface, item: &Item) {
        match item {
            Item::Path { points, closed, fill: inside, pen } => {
                let mut b = PathBuilder::new();
                for (i, p) in points.iter().enumerate() {
                    let (x, y) = ((p.x * PT) as f32, (p.y * PT) as f32);
                    if i == 0 { b.move_to(x, y) } else { b.line_to(x, y) }
                }
                if *closed {
                    b.close();
                }
                if let Some(path) = b.finish() {
                    s.set_fill(inside.map(fill));
                    s.set_stroke(pen.as_ref().map(stroke));
                    s.draw_path(&path);
                }
            }
            Item::Text(t) => self.text(s, t),
        }
    }

    fn text(&self, s: &mut Surface, t: &Text) {
        let face = &self.faces[usize::from(t.bold)];
        let glyphs: Vec<KrillaGlyph> = face
            .glyphs(&t.text)
            .into_iter()
            .map(|g| KrillaGlyph::new(GlyphId::new(g.glyph), g.advance as f32, 0.0, 0.0, 0.0, g.range, None))
            .collect();
        let width = face.width(&t.text, t.size);
        let back = match t.anchor {
            Anchor::Left => 0.0,
            Anchor::Middle => width / 2.0,
            Anchor::Right => width,
        };
        s.set_fill(Some(fill(t.ink)));
        s.set_stroke(None);
        let (x, y) = ((t.at.x * PT) as f32, (t.at.y * PT) as f32);
        let (sin, cos) = (t.turn.sin() as f32, t.turn.cos() as f32);
        s.push_transform(&Transform::from_row(cos, sin, -sin, cos, x, y));
        let start = Point::from_xy((-back * PT) as f32, 0.0);
        let font = self.fonts[usize::from(t.bold)].clone();
        s.draw_glyphs(start, &glyphs, font, &t.text, (t.size * PT) as f32, false);
        s.pop();
    }
}
