//! Problems as text: file, line and column, the line itself, what is wrong with it and what to do.

use annotate_snippets::{AnnotationKind, Element, Group, Level, Renderer, Snippet};

use crate::model::Span;
use crate::problem::{Problem, Severity};

/// Lines longer than this many bytes are shown in part: around the place that matters.
const LONGEST_LINE: usize = 400;

/// Renders problems for a terminal without colour, or for a log.
pub fn render(problems: &[Problem], file_name: &str, source: &str) -> String {
    render_with(&Renderer::plain(), problems, file_name, source)
}

/// The same with ANSI colours.
pub fn render_coloured(problems: &[Problem], file_name: &str, source: &str) -> String {
    render_with(&Renderer::styled(), problems, file_name, source)
}

fn render_with(renderer: &Renderer, problems: &[Problem], file_name: &str, source: &str) -> String {
    let mut out = String::new();
    for (i, problem) in problems.iter().enumerate() {
        if i > 0 {
            out.push_str("\n\n");
        }
        let level = match problem.severity {
            Severity::Error => Level::ERROR,
            Severity::Note => Level::NOTE,
        };
        let title = level.primary_title(problem.message.as_str());
        let excerpt = problem.span.as_ref().map(|span| Excerpt::around(source, span));
        let mut group = match &excerpt {
            Some(e) => {
                let annotation = AnnotationKind::Primary.span(e.span.clone()).label(problem.label.as_str());
                title.element(Snippet::source(e.text).line_start(e.line).path(file_name).annotation(annotation))
            }
            None => title.element(annotate_snippets::Origin::path(file_name)),
        };
        if let Some(help) = &problem.help {
            group = group.element(Element::from(Level::HELP.message(help.as_str())));
        }
        let report: &[Group<'_>] = &[group];
        out.push_str(&renderer.render(report));
    }
    if !out.is_empty() {
        out.push('\n');
    }
    out
}

/// The lines that a span touches, so that a large file costs no more to point into than a small one.
struct Excerpt<'a> {
    text: &'a str,
    line: usize,
    span: Span,
}

impl<'a> Excerpt<'a> {
    fn around(source: &'a str, span: &Span) -> Self {
        let start = floor(source, span.start);
        // Only the first line of a long value is shown.
        let line_end = source[start..].find('\n').map_or(source.len(), |i| start + i);
        let end = floor(source, span.end).clamp(start, line_end);
        let mut from = source[..start].rfind('\n').map_or(0, |i| i + 1);
        let mut to = line_end;
        if to - from > LONGEST_LINE {
            from = from.max(floor(source, start.saturating_sub(LONGEST_LINE / 2)));
            to = to.min(floor(source, end + LONGEST_LINE / 2)).max(end);
        }
        let to = floor(source, to.min(start.max(from) + 2 * LONGEST_LINE)).max(start);
        let line = source[..start].bytes().filter(|b| *b == b'\n').count() + 1;
        Excerpt { text: &source[from..to], line, span: start - from..end.min(to) - from }
    }
}

/// The nearest character boundary at or below a position.
fn floor(source: &str, position: usize) -> usize {
    let mut position = position.min(source.len());
    while !source.is_char_boundary(position) {
        position -= 1;
    }
    position
}

#[cfg(test)]
mod tests {
    use super::*;

    fn problem(span: Option<Span>) -> Problem {
        Problem { span, ..Problem::error("it is wrong", 0..0, "here") }.help("mend it")
    }

    #[test]
    fn points_at_the_line() {
        let text = render(&[problem(Some(12..17))], "a.toml", "name = \"x\"\n\nwrong = 1\n");
        assert!(text.contains("error: it is wrong"), "{text}");
        assert!(text.contains("a.toml:3:1"), "{text}");
        assert!(text.contains("wrong = 1"), "{text}");
        assert!(text.contains("help: mend it"), "{text}");
        assert!(!text.contains('\u{1b}'));
        assert!(render_coloured(&[problem(None)], "a.toml", "").contains('\u{1b}'));
        assert_eq!(render(&[], "a.toml", ""), "");
    }

    #[test]
    fn odd_places_do_not_matter() {
        let long = "é".repeat(5000);
        for source in ["", "\n", "é\r\nx", long.as_str()] {
            for start in 0..12 {
                for end in [0, 1, 3, 9, 99_999] {
                    let text = render(&[problem(Some(start..end))], "a.toml", source);
                    assert!(text.contains("it is wrong"));
                }
            }
        }
        assert!(render(&[problem(Some(5000..9000))], "a.toml", &long).len() < 8000);
    }
}
