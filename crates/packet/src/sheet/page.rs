//! A page as lines, areas and text, in millimetres from its top left corner, y down. Writers know nothing of tubes.

use glam::DVec2;

/// Colours of the sheets: ink on paper, one accent. Nothing is ever shown as good by colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// Lines and text.
    Black,
    /// Second-rank text and thin lines.
    Grey,
    /// Rules, hulls of what is not frame.
    Pale,
    /// Areas that set something apart.
    Tint,
    /// Bare paper, to cover what lies behind.
    Paper,
    /// What the sheet is about.
    Accent,
    /// What must be mended.
    Alarm,
}

impl Ink {
    /// Red, green, blue.
    pub fn rgb(self) -> [u8; 3] {
        match self {
            Ink::Black => [28, 40, 48],
            Ink::Grey => [92, 102, 108],
            Ink::Pale => [176, 180, 178],
            Ink::Tint => [238, 236, 228],
            Ink::Paper => [255, 255, 255],
            Ink::Accent => [38, 70, 168],
            Ink::Alarm => [178, 58, 24],
        }
    }
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pen {
    /// Colour.
    pub ink: Ink,
    /// Width, mm.
    pub width: f64,
    /// Length of dashes and gaps, mm; `None` for a full line.
    pub dash: Option<f64>,
}

impl Pen {
    /// A full line.
    pub const fn new(ink: Ink, width: f64) -> Pen {
        Pen { ink, width, dash: None }
    }

    /// The same, dashed.
    pub const fn dashed(self, dash: f64) -> Pen {
        Pen { dash: Some(dash), ..self }
    }
}

/// Visible edges.
pub const BOLD: Pen = Pen::new(Ink::Black, 0.5);
/// Ordinary lines.
pub const LINE: Pen = Pen::new(Ink::Black, 0.25);
/// Dimension and leader lines.
pub const THIN: Pen = Pen::new(Ink::Grey, 0.15);
/// Rules of tables.
pub const RULE: Pen = Pen::new(Ink::Pale, 0.2);

/// Which point of a text its place is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Left end of the base line.
    Left,
    /// Middle of the base line.
    Middle,
    /// Right end of the base line.
    Right,
}

/// A text on one line.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Where.
    pub at: DVec2,
    /// Size of the face, mm.
    pub size: f64,
    /// Bold.
    pub bold: bool,
    /// Colour.
    pub ink: Ink,
    /// Anchor.
    pub anchor: Anchor,
    /// Turn about its place, rad, clockwise on the page.
    pub turn: f64,
    /// The words.
    pub text: String,
}

/// One thing on a page.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// Joined points.
    Path {
        /// Points.
        points: Vec<DVec2>,
        /// Whether the last joins the first.
        closed: bool,
        /// Colour within.
        fill: Option<Ink>,
        /// Line.
        pen: Option<Pen>,
    },
    /// A text.
    Text(Text),
}

/// A page.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// Width, mm.
    pub width: f64,
    /// Height, mm.
    pub height: f64,
    /// What the sheet is, for its foot.
    pub title: String,
    /// What is on it, drawn in order.
    pub items: Vec<Item>,
}

impl Page {
    /// Joins points with a line.
    pub fn line(&mut self, points: impl Into<Vec<DVec2>>, pen: Pen) {
        self.items.push(Item::Path { points: points.into(), closed: false, fill: None, pen: Some(pen) });
    }

    /// An area.
    pub fn area(&mut self, points: impl Into<Vec<DVec2>>, fill: Option<Ink>, pen: Option<Pen>) {
        self.items.push(Item::Path { points: points.into(), closed: true, fill, pen });
    }

    /// A rectangle.
    pub fn rect(&mut self, at: DVec2, size: DVec2, fill: Option<Ink>, pen: Option<Pen>) {
        let (x, y) = (DVec2::new(size.x, 0.0), DVec2::new(0.0, size.y));
        self.area([at, at + x, at + size, at + y], fill, pen);
    }

    /// A circle.
    pub fn circle(&mut self, centre: DVec2, r: f64, fill: Option<Ink>, pen: Option<Pen>) {
        let points: Vec<DVec2> =
            (0..72).map(|k| centre + DVec2::from_angle(k as f64 * std::f64::consts::TAU / 72.0) * r).collect();
        self.area(points, fill, pen);
    }

    /// A text at the left end of its base line.
    pub fn text(&mut self, x: f64, y: f64, size: f64, text: impl Into<String>) -> &mut Text {
        self.items.push(Item::Text(Text {
            at: DVec2::new(x, y),
            size,
            bold: false,
            ink: Ink::Black,
            anchor: Anchor::Left,
            turn: 0.0,
            text: text.into(),
        }));
        match self.items.last_mut() {
            Some(Item::Text(t)) => t,
            _ => unreachable!("a text was put there"),
        }
    }
}

impl Text {
    /// In bold.
    pub fn bold(&mut self) -> &mut Text {
        self.bold = true;
        self
    }

    /// In a colour.
    pub fn ink(&mut self, ink: Ink) -> &mut Text {
        self.ink = ink;
        self
    }

    /// Set by another point.
    pub fn anchor(&mut self, anchor: Anchor) -> &mut Text {
        self.anchor = anchor;
        self
    }

    /// Turned, rad, clockwise on the page.
    pub fn turn(&mut self, turn: f64) -> &mut Text {
        self.turn = turn;
        self
    }
}
