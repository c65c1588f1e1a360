//! A page on 127.0.0.1: what is served, to whom, until somebody asks the program to end. [`server`] listens, [`line`] talks to one page,
//! [`benches`] knows who is there, [`bench`] goes on at the pace of the clock on the wall with what lies on it: a practice ([`practising`]) or a
//! recording that is watched ([`demonstrating`]). [`listening`] is the listening room, and [`answers`] keeps what was told there.

mod answers;
mod bench;
mod benches;
pub mod browser;
mod demonstrating;
mod headers;
mod line;
mod listening;
pub mod offer;
mod practising;
mod server;
mod told;

use std::net::{Ipv4Addr, TcpListener};
use std::sync::Arc;

use needlebench::practise::web::guard::Ours;

use super::signals::Asked;
use super::{Answer, Failure, output};
use benches::Benches;
use offer::Given;

/// Serves the page until somebody asks the program to end.
pub fn play(given: Given, port: u16, open: bool, asked: &Asked) -> Result<Answer, Failure> {
    let taken = |error: std::io::Error| Failure::Usage {
        flag: "--port",
        what: format!("127.0.0.1:{port} can't be listened on ({error})"),
        allowed: "a port that no other program listens on, or 0 for any",
        remedy: "name another one, or leave --port out",
    };
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port)).map_err(taken)?;
    let ours = Ours {
        port: listener.local_addr().map_err(taken)?.port(),
    };
    output::print(&format!("{}\n", ours.address()))?;
    let what = match given {
        Given::Practice(_) => "practice",
        Given::Demonstration(_) => "demonstration",
    };
    output::say(&format!(
        "the {what} is served there, on this machine alone; Ctrl-C ends it"
    ));
    if open {
        browser::open(&ours.address());
    }
    let benches = Arc::new(Benches::new(given));
    let served = server::serve(listener, ours, &benches, asked);
    benches.all_leave();
    served.map_err(|cause| Failure::Served { cause })?;
    match benches.given.trouble() {
        Some((path, cause)) => Err(Failure::Stopped { path, cause }),
        None => Ok(Answer::Interrupted),
    }
}
