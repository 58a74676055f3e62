//! `open`: the page.

use std::path::Path;
use std::process::{Command, ExitCode, Stdio};

use app::server::{Opening, Server};
use fast_qr::QRBuilder;

use crate::load::print;

/// Serves the page until the person ends it.
pub fn run(design: &Path, lan: bool, port: u16, quiet: bool) -> Result<ExitCode, String> {
    let told = |server: &Server| {
        let link = server.link();
        print(&format!("{} is open at {link}\n", design.display()));
        if lan {
            print(&phones(server));
        }
        print("Ctrl+C ends it.\n");
        if !quiet && !browse(&link) {
            print(&format!("no browser could be started: open {link} in one\n"));
        }
    };
    app::run(design, &Opening { lan, port }, told, app::interrupted())?;
    Ok(ExitCode::SUCCESS)
}

/// The link for phones, as a code and in letters.
fn phones(server: &Server) -> String {
    let Some(link) = server.phone_link() else {
        return "this machine has no address that a phone could reach: join a network, and open it again\n".to_owned();
    };
    let code = QRBuilder::new(link.clone()).build().map_or_else(|_| String::new(), |code| code.to_str());
    format!(
        "\nphones on the same network: scan this, or open {link}\n{code}\nWho has the link can tick and measure; it does not \
         pass beyond the network, and is not encrypted on it.\n"
    )
}

/// Starts the system's browser.
fn browse(link: &str) -> bool {
    let (program, first): (&str, &[&str]) = if cfg!(target_os = "macos") {
        ("open", &[])
    } else if cfg!(windows) {
        ("cmd", &["/C", "start", ""])
    } else {
        ("xdg-open", &[])
    };
    let quiet = Stdio::null;
    Command::new(program).args(first).arg(link).stdin(quiet()).stdout(quiet()).stderr(quiet()).spawn().is_ok()
}
