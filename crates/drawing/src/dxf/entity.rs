//! One entity: from its pairs to what it draws.

use std::f64::consts::TAU;

use glam::{DMat3, DVec3};

use super::plane::plane;
use super::tags::{Tag, text};
use crate::spline::{Spline, ellipse, through};
use crate::{Error, Form, Span, error};

/// An entity's kind and pairs.
#[derive(Clone, Copy)]
pub(super) struct Raw<'a> {
    pub kind: &'a str,
    pub tags: &'a [Tag<'a>],
    /// Line of its name.
    pub line: usize,
}

/// Pairs up to each code 0 are one entity.
pub(super) fn split<'a>(tags: &'a [Tag<'a>]) -> impl Iterator<Item = Raw<'a>> {
    let mut k = tags.iter().position(|t| t.code == 0).unwrap_or(tags.len());
    std::iter::from_fn(move || {
        let head = tags.get(k)?;
        let next = tags[k + 1..].iter().position(|t| t.code == 0).map_or(tags.len(), |n| k + 1 + n);
        let raw = Raw { kind: head.value, tags: &tags[k + 1..next], line: head.line };
        k = next;
        Some(raw)
    })
}

impl<'a> Raw<'a> {
    /// Pairs of the entity itself, without what programs hang on it.
    pub fn own(&self) -> impl Iterator<Item = &'a Tag<'a>> + use<'a> {
        self.tags.iter().take_while(|t| t.code < 1000)
    }

    pub fn text(&self, code: i32) -> Option<String> {
        self.own().find(|t| t.code == code).map(|t| text(t.value))
    }

    pub fn number(&self, code: i32) -> Result<Option<f64>, Error> {
        self.own().find(|t| t.code == code).map(Tag::number).transpose()
    }

    pub fn integer(&self, code: i32) -> Result<i64, Error> {
        self.own().find(|t| t.code == code).map_or(Ok(0), Tag::integer)
    }

    fn wanted(&self, code: i32) -> Result<f64, Error> {
        match self.number(code)? {
            Some(v) => Ok(v),
            None => error(self.line, format!("{} without its number under code {code}", self.kind)),
        }
    }

    /// A point by the code of its x; y and z lie 10 and 20 above it. z may be left out.
    pub fn point(&self, code: i32) -> Result<DVec3, Error> {
        let z = self.number(code + 20)?.unwrap_or(0.0);
        Ok(DVec3::new(self.wanted(code)?, self.wanted(code + 10)?, z))
    }

    pub fn point_or_zero(&self, code: i32) -> Result<DVec3, Error> {
        if self.number(code)?.is_some() { self.point(code) } else { Ok(DVec3::ZERO) }
    }

    /// The plane of a flat entity.
    pub fn plane(&self) -> Result<DMat3, Error> {
        Ok(plane(if self.number(210)?.is_some() { self.point(210)? } else { DVec3::Z }))
    }

    /// Every point under a code, in order.
    fn points(&self, code: i32) -> Result<Vec<DVec3>, Error> {
        let mut out: Vec<DVec3> = Vec::new();
        for t in self.own() {
            match t.code {
                c if c == code => out.push(DVec3::new(t.number()?, 0.0, 0.0)),
                c if c == code + 10 => out.last_mut().map_or(Ok(()), |p| t.number().map(|v| p.y = v))?,
                c if c == code + 20 => out.last_mut().map_or(Ok(()), |p| t.number().map(|v| p.z = v))?,
                _ => {}
            }
        }
        Ok(out)
    }

    fn numbers(&self, code: i32) -> Result<Vec<f64>, Error> {
        self.own().filter(|t| t.code == code).map(Tag::number).collect()
    }

    /// What this program hangs on an entity: `key=value`.
    pub fn kept(&self) -> Vec<(String, String)> {
        let mut ours = false;
        let mut out = Vec::new();
        for t in self.tags {
            match t.code {
                1001 => ours = t.value == "TUBEWRIGHT",
                1000 if ours => out.extend(text(t.value).split_once('=').map(|(k, v)| (k.to_owned(), v.to_owned()))),
                _ => {}
            }
        }
        out
    }

    /// Whether it lies on a sheet (paper space) or is not to be seen.
    pub fn aside(&self) -> Result<Option<&'static str>, Error> {
        Ok(if self.integer(67)? == 1 {
            Some("things on sheets, not in the model")
        } else if self.integer(60)? == 1 {
            Some("things that are set not to be seen")
        } else {
            None
        })
    }
}

/// An ellipse whose axes differ by less than this part is a circle: some programs write every arc in space as an ellipse.
const ROUND: f64 = 1e-9;

/// What an entity draws by itself; `Err` in the inner place: what is left out, in words.
pub(super) fn form(raw: &Raw) -> Result<Result<Form, String>, Error> {
    let spans = |s: Vec<Span>| Ok(Ok(Form::Spans(s)));
    match raw.kind {
        "LINE" => spans(vec![Span::Line { from: raw.point(10)?, to: raw.point(11)? }]),
        "ARC" => {
            let (from, to) = (raw.wanted(50)?.to_radians(), raw.wanted(51)?.to_radians());
            arc(raw, from, (to - from).rem_euclid(TAU))
        }
        "CIRCLE" => arc(raw, 0.0, TAU),
        "ELLIPSE" => {
            let (centre, major) = (raw.point(10)?, raw.point(11)?);
            let normal = if raw.number(210)?.is_some() { raw.point(210)? } else { DVec3::Z };
            let minor = normal.normalize_or(DVec3::Z).cross(major) * raw.wanted(40)?;
            let (from, to) = (raw.number(41)?.unwrap_or(0.0), raw.number(42)?.unwrap_or(TAU));
            if (raw.wanted(40)? - 1.0).abs() < ROUND && major.length() > 0.0 {
                let sweep = (to - from).rem_euclid(TAU);
                let sweep = if sweep < ROUND { TAU } else { sweep };
                let start = major * from.cos() + minor * from.sin();
                return spans(vec![Span::Arc { centre, axis: normal.normalize_or(DVec3::Z), start, sweep }]);
            }
            Ok(Ok(Form::Curve(ellipse(centre, major, minor, from, to))))
        }
        "SPLINE" => {
            let control = raw.points(10)?;
            if control.is_empty() {
                let fit = raw.points(11)?;
                return Ok(if fit.len() < 2 {
                    Err("splines without points".into())
                } else {
                    Ok(Form::Curve(through(&fit)))
                });
            }
            let degree = usize::try_from(raw.integer(71)?).unwrap_or(0);
            let spline = Spline { degree, knots: raw.numbers(40)?, control, weights: raw.numbers(41)? };
            match spline.places() {
                Ok(p) => Ok(Ok(Form::Curve(p))),
                Err(why) => Ok(Err(format!("splines with {why}"))),
            }
        }
        "3DFACE" | "SOLID" | "MESH" | "3DSOLID" | "REGION" | "BODY" | "SURFACE" => Ok(Err("faces and solids".into())),
        "TEXT" | "MTEXT" | "ATTDEF" | "ATTRIB" => Ok(Err("texts".into())),
        "DIMENSION" | "LEADER" | "MULTILEADER" => Ok(Err("dimensions".into())),
        "POINT" => Ok(Err("points: a layout is taken from lines".into())),
        "HATCH" => Ok(Err("hatches".into())),
        other => Ok(Err(format!("things called {}", other.chars().take(24).collect::<String>()))),
    }
}

/// An arc or a circle, in its plane.
fn arc(raw: &Raw, from: f64, sweep: f64) -> Result<Result<Form, String>, Error> {
    let radius = raw.wanted(40)?;
    if radius <= 0.0 {
        return Ok(Err("arcs and circles without a radius".into()));
    }
    let plane = raw.plane()?;
    let start = plane * (DVec3::new(from.cos(), from.sin(), 0.0) * radius);
    // From a to a is the whole round.
    let sweep = if sweep <= 0.0 { TAU } else { sweep };
    Ok(Ok(Form::Spans(vec![Span::Arc { centre: plane * raw.point(10)?, axis: plane.z_axis, start, sweep }])))
}
