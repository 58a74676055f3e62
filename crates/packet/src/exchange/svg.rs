//! Flat drawings as SVG. The class of a line is its layer.

use super::flat::{Drawing, Layer, bounds};

/// As SVG, a unit a millimetre.
pub fn write(d: &Drawing) -> String {
    let (lo, hi) = bounds(d);
    let size = hi - lo;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.4}mm\" height=\"{1:.4}mm\" viewBox=\"0 0 {0:.4} {1:.4}\">\n<title>{2}</title>\n",
        size.x,
        size.y,
        escaped(&d.title)
    );
    for l in &d.lines {
        let points: Vec<String> = l.points.iter().map(|p| format!("{:.4},{:.4}", p.x - lo.x, hi.y - p.y)).collect();
        let tag = if l.closed { "polygon" } else { "polyline" };
        let (class, pen) = (l.layer.name(), pen(l.layer));
        out += &format!("<{tag} class=\"{class}\" fill=\"none\" {pen} points=\"{}\"/>\n", points.join(" "));
    }
    for c in &d.circles {
        out += &format!(
            "<circle class=\"{}\" fill=\"none\" {} cx=\"{:.4}\" cy=\"{:.4}\" r=\"{:.4}\"/>\n",
            c.layer.name(),
            pen(c.layer),
            c.centre.x - lo.x,
            hi.y - c.centre.y,
            c.radius
        );
    }
    for t in &d.notes {
        out += &format!(
            "<text class=\"{}\" fill=\"#2646a8\" font-family=\"sans-serif\" font-size=\"{:.2}\" x=\"{:.4}\" y=\"{:.4}\">{}</text>\n",
            t.layer.name(),
            t.height,
            t.at.x - lo.x,
            hi.y - t.at.y,
            escaped(&t.words)
        );
    }
    out + "</svg>\n"
}

fn pen(layer: Layer) -> &'static str {
    match layer {
        Layer::CutOutside => "stroke=\"#1c2830\" stroke-width=\"0.2\"",
        Layer::CutInside => "stroke=\"#a3431f\" stroke-width=\"0.2\"",
        Layer::Contact => "stroke=\"#5c666c\" stroke-width=\"0.15\" stroke-dasharray=\"0.8\"",
        Layer::Mark | Layer::Note => "stroke=\"#2646a8\" stroke-width=\"0.15\"",
    }
}

/// Text as XML has it.
fn escaped(s: &str) -> String {
    s.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}
