//! Reading a design's text, and writing files so that a crash leaves either the old one or the new one.

use std::io::Write;
use std::path::Path;

/// A file larger than this is not a design: the demo takes a few tens of kilobytes.
const LARGEST: u64 = 16 << 20;

/// The text of a design file.
///
/// # Errors
/// What is wrong with the file, in words.
pub fn text(path: &Path) -> Result<String, String> {
    let size = std::fs::metadata(path).map_err(|e| cannot("read", path, &e))?.len();
    if size > LARGEST {
        return Err(format!("error: {} has {size} bytes; a design file has at most {LARGEST}", path.display()));
    }
    let bytes = std::fs::read(path).map_err(|e| cannot("read", path, &e))?;
    String::from_utf8(bytes).map_err(|e| {
        let at = e.utf8_error().valid_up_to();
        let line = 1 + e.as_bytes()[..at].iter().filter(|&&b| b == b'\n').count();
        format!("error: {}, line {line}: not UTF-8 text; save the file as UTF-8", path.display())
    })
}

/// Why a file could not be read or written, in words.
pub fn cannot(verb: &str, path: &Path, e: &std::io::Error) -> String {
    format!("error: can't {verb} {}: {e}", path.display())
}

/// Writes a file by way of a neighbour that is then renamed over it.
///
/// # Errors
/// Why not, in words; the old file is then as it was.
pub fn write(path: &Path, bytes: &[u8]) -> Result<(), String> {
    let dir = path.parent().unwrap_or(Path::new("."));
    std::fs::create_dir_all(dir).map_err(|e| cannot("make the folder", dir, &e))?;
    let name = path.file_name().and_then(|n| n.to_str()).unwrap_or("file");
    let beside = dir.join(format!(".{name}.{}", std::process::id()));
    let put = || -> std::io::Result<()> {
        let mut f = std::fs::File::create(&beside)?;
        f.write_all(bytes)?;
        f.sync_all()?;
        std::fs::rename(&beside, path)
    };
    put().map_err(|e| {
        let _ = std::fs::remove_file(&beside);
        cannot("write", path, &e)
    })
}

/// Today, in universal time, as `2026-11-25`.
pub fn today() -> String {
    let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    date(now.map_or(0, |d| d.as_millis() as i64))
}

/// The day of a time in ms since 1970, in universal time.
pub fn date(ms: i64) -> String {
    let (y, m, d) = civil(ms.div_euclid(86_400_000));
    format!("{y:04}-{m:02}-{d:02}")
}

/// Year, month and day of a count of days since 1970-01-01 (Hinnant, "chrono-compatible low-level date algorithms").
fn civil(days: i64) -> (i64, i64, i64) {
    let z = days + 719_468;
    let era = z.div_euclid(146_097);
    let doe = z.rem_euclid(146_097);
    let yoe = (doe - doe / 1460 + doe / 36_524 - doe / 146_096) / 365;
    let doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    let mp = (5 * doy + 2) / 153;
    let m = if mp < 10 { mp + 3 } else { mp - 9 };
    (yoe + era * 400 + i64::from(m <= 2), m, doy - (153 * mp + 2) / 5 + 1)
}

#[cfg(test)]
mod tests {
    use super::civil;

    #[test]
    fn dates() {
        assert_eq!(civil(0), (1970, 1, 1));
        assert_eq!(civil(11_016), (2000, 2, 29));
        assert_eq!(civil(20_782), (2026, 11, 25));
    }
}
