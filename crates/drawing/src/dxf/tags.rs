//! Pairs of a code and a value.

use crate::{Error, error};

/// A code, what stands under it, and on which line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tag<'a> {
    pub code: i32,
    pub value: &'a str,
    /// Line of the value, from 1.
    pub line: usize,
}

impl Tag<'_> {
    pub fn is(&self, code: i32, value: &str) -> bool {
        self.code == code && self.value == value
    }

    pub fn number(&self) -> Result<f64, Error> {
        match self.value.parse::<f64>() {
            Ok(v) if v.is_finite() => Ok(v),
            _ => error(self.line, format!("a number is wanted under code {}, not `{}`", self.code, short(self.value))),
        }
    }

    pub fn integer(&self) -> Result<i64, Error> {
        match self.value.parse::<i64>() {
            Ok(v) => Ok(v),
            // Some writers put a whole number with a point.
            Err(_) => match self.number()? {
                v if v.fract() == 0.0 && v.abs() < 1e15 => Ok(v as i64),
                _ => error(self.line, format!("a whole number is wanted under code {}", self.code)),
            },
        }
    }
}

/// The beginning of what may be anything.
fn short(text: &str) -> String {
    let mut s: String = text.chars().take(24).filter(|c| !c.is_control()).collect();
    if text.chars().count() > 24 {
        s.push('…');
    }
    s
}

/// All pairs up to `EOF`. Comments (999) are passed over.
pub(super) fn read(text: &str) -> Result<Vec<Tag<'_>>, Error> {
    let mut out = Vec::new();
    let mut lines = text.split('\n').map(str::trim).enumerate();
    while let Some((k, code)) = lines.next() {
        let code = code.trim_start_matches('\u{feff}');
        let Ok(number) = code.parse::<i32>() else {
            if code.is_empty() && lines.all(|(_, l)| l.is_empty()) {
                break;
            }
            return error(k + 1, format!("a code (a whole number) is wanted here, not `{}`", short(code)));
        };
        let Some((at, value)) = lines.next() else {
            return error(k + 1, format!("the file ends after the code {number}"));
        };
        if number == 0 && value == "EOF" {
            break;
        }
        if number != 999 {
            out.push(Tag { code: number, value, line: at + 1 });
        }
    }
    Ok(out)
}

/// Text with its `\U+XXXX` escapes taken out.
pub(super) fn text(value: &str) -> String {
    let mut out = String::new();
    let mut rest = value;
    while let Some(at) = rest.find("\\U+") {
        out += &rest[..at];
        let hex = rest.get(at + 3..at + 7);
        match hex.and_then(|h| u32::from_str_radix(h, 16).ok()).and_then(char::from_u32) {
            Some(c) => {
                out.push(c);
                rest = &rest[at + 7..];
            }
            None => {
                out += "\\U+";
                rest = &rest[at + 3..];
            }
        }
    }
    out + rest
}
