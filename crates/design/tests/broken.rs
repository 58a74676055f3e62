//! Every file in `tests/broken` is refused, with the words beside it.
//!
//! `UPDATE_BROKEN=1` writes the words anew; read the difference before committing it.

use std::fs;
use std::path::{Path, PathBuf};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/broken")
}

fn broken_files() -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    files.sort();
    files
}

#[test]
fn every_broken_file_is_refused_in_the_words_beside_it() {
    let update = std::env::var_os("UPDATE_BROKEN").is_some();
    let mut wrong = String::new();
    for path in broken_files() {
        let name = path.file_name().unwrap().to_str().unwrap().to_owned();
        let source = fs::read_to_string(&path).unwrap();
        let problems = match design::read(&source) {
            Ok(_) => {
                wrong += &format!("{name} is read without an error\n");
                continue;
            }
            Err(problems) => problems,
        };
        let words = design::render(&problems, &name, &source);
        let beside = path.with_extension("txt");
        if update {
            fs::write(&beside, &words).unwrap();
        }
        match fs::read_to_string(&beside) {
            Ok(expected) if expected == words => {}
            Ok(expected) => wrong += &format!("{name} has other words:\n{words}\nexpected:\n{expected}\n"),
            Err(_) => wrong += &format!("{name} has no words beside it (UPDATE_BROKEN=1 writes them):\n{words}\n"),
        }
        for problem in &problems {
            assert!(problem.help.is_some(), "{name}: no help for \"{}\"", problem.message);
            assert!(!problem.message.ends_with('.'), "{name}: {}", problem.message);
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn no_words_are_left_without_their_file() {
    for entry in fs::read_dir(folder()).unwrap() {
        let path = entry.unwrap().path();
        assert!(path.with_extension("toml").exists(), "{} stands alone", path.display());
    }
    assert!(broken_files().len() >= 60);
}

#[test]
fn coloured_words_are_the_same_words() {
    for path in broken_files() {
        let source = fs::read_to_string(&path).unwrap();
        let Err(problems) = design::read(&source) else { continue };
        let coloured = design::render_coloured(&problems, "file.toml", &source);
        let mut plain = String::new();
        let mut inside = false;
        for c in coloured.chars() {
            match (inside, c) {
                (false, '\u{1b}') => inside = true,
                (true, 'm') => inside = false,
                (false, c) => plain.push(c),
                _ => {}
            }
        }
        assert_eq!(plain, design::render(&problems, "file.toml", &source));
    }
}
