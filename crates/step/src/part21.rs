//! The text of an exchange file (ISO 10303-21): numbers, words, and instances that name one another.

use std::fmt::Write;

use geometry::DVec3;

/// Millimetres in a metre: files are in millimetres.
const MM: f64 = 1000.0;

/// A list of instances under way.
#[derive(Default)]
pub struct Data {
    text: String,
    last: usize,
}

/// The number of an instance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Id(usize);

impl std::fmt::Display for Id {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "#{}", self.0)
    }
}

impl Data {
    /// Adds an instance, given as it stands behind the equals sign.
    pub fn add(&mut self, what: &str) -> Id {
        self.last += 1;
        // Writing to a string does not fail.
        let _ = writeln!(self.text, "#{}={what};", self.last);
        Id(self.last)
    }

    /// A place, given in metres.
    pub fn point(&mut self, p: DVec3) -> Id {
        let p = p * MM;
        self.add(&format!("CARTESIAN_POINT('',({},{},{}))", length(p.x), length(p.y), length(p.z)))
    }

    /// A direction.
    pub fn direction(&mut self, d: DVec3) -> Id {
        self.add(&format!("DIRECTION('',({},{},{}))", real(d.x), real(d.y), real(d.z)))
    }

    /// A place with its axis and the direction from which angles count.
    pub fn placement(&mut self, at: DVec3, axis: DVec3, x: DVec3) -> Id {
        let (p, a, x) = (self.point(at), self.direction(axis), self.direction(x));
        self.add(&format!("AXIS2_PLACEMENT_3D('',{p},{a},{x})"))
    }

    /// The whole file. Its head holds no time of day, so that the same frame gives the same bytes.
    pub fn file(self, name: &str, schema: &str) -> String {
        let name = string(name);
        format!(
            "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME({name},'{NO_TIME}',(''),(''),\
             'Tubewright','Tubewright','');\nFILE_SCHEMA(('{schema}'));\nENDSEC;\nDATA;\n{}ENDSEC;\nEND-ISO-10303-21;\n",
            self.text
        )
    }
}

/// The form asks for a time of day.
const NO_TIME: &str = "1970-01-01T00:00:00";

/// A list of instances.
pub fn list(ids: &[Id]) -> String {
    let mut out = String::from("(");
    for (k, id) in ids.iter().enumerate() {
        let _ = write!(out, "{}{id}", if k > 0 { "," } else { "" });
    }
    out.push(')');
    out
}

/// A length of the file, given in millimetres: to a ten-thousandth of a nanometre.
pub fn length(v: f64) -> String {
    let mut s = format!("{v:.10}");
    s.truncate(s.trim_end_matches('0').len());
    if s == "-0." { "0.".to_owned() } else { s }
}

/// A length given in metres.
pub fn metres(v: f64) -> String {
    length(v * MM)
}

/// A number with all of its digits.
pub fn real(v: f64) -> String {
    // So small a part of a direction turns it by less than the last digit of its other parts can tell.
    if v.abs() < 1e-17 {
        return "0.".to_owned();
    }
    let mut s = format!("{v:?}");
    if let Some(k) = s.find('e') {
        let power = s.split_off(k);
        if !s.contains('.') {
            s.push('.');
        }
        return s + &power.replace('e', "E");
    }
    s.truncate(s.trim_end_matches('0').len());
    s
}

/// Words between apostrophes: an apostrophe or backslash is doubled, what is not plain ASCII is told by its number.
pub fn string(words: &str) -> String {
    let mut out = String::from("'");
    let (mut two, mut four) = (false, false);
    for c in words.chars() {
        let n = c as u32;
        let plain = (0x20..0x7f).contains(&n);
        let (wants_two, wants_four) = (!plain && n <= 0xffff, n > 0xffff);
        if (two && !wants_two) || (four && !wants_four) {
            out.push_str("\\X0\\");
        }
        if wants_two && !two {
            out.push_str("\\X2\\");
        }
        if wants_four && !four {
            out.push_str("\\X4\\");
        }
        (two, four) = (wants_two, wants_four);
        let _ = match c {
            '\'' => write!(out, "''"),
            '\\' => write!(out, "\\\\"),
            _ if wants_two => write!(out, "{n:04X}"),
            _ if wants_four => write!(out, "{n:08X}"),
            _ => write!(out, "{c}"),
        };
    }
    if two || four {
        out.push_str("\\X0\\");
    }
    out.push('\'');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_hold_a_point_and_their_digits() {
        assert_eq!(real(1.0), "1.");
        assert_eq!(real(-0.5), "-0.5");
        assert_eq!(real(100.0), "100.");
        assert_eq!(real(1e-9), "1.E-9");
        assert_eq!(real(-1.25e-7), "-1.25E-7");
        assert_eq!(real(0.1 + 0.2), "0.30000000000000004");
        assert_eq!(length(0.0), "0.");
        assert_eq!(length(-1e-14), "0.");
        assert_eq!(length(1234.5), "1234.5");
        assert_eq!(metres(1.0 / 3.0), "333.3333333333");
    }

    #[test]
    fn words_are_told_in_plain_letters() {
        assert_eq!(string("Tom's \\ car"), "'Tom''s \\\\ car'");
        assert_eq!(string("Gör"), "'G\\X2\\00F6\\X0\\r'");
        assert_eq!(string("äö"), "'\\X2\\00E400F6\\X0\\'");
        assert_eq!(string("ä🚗x\n"), "'\\X2\\00E4\\X0\\\\X4\\0001F697\\X0\\x\\X2\\000A\\X0\\'");
    }
}
