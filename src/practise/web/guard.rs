//! Who may talk to the page's server. Loopback is no wall: any page of any browser on this machine can reach it, under a name of its
//! own choice. So `Host` has to be one of our addresses to the letter, and so has the `Origin` of a socket; the two are never held
//! against each other, since whoever attacks chooses both.

/// The names under which the server answers.
const NAMES: [&str; 2] = ["127.0.0.1", "localhost"];

/// The addresses of a server.
#[derive(Clone, Copy, Debug)]
pub struct Ours {
    /// Its port.
    pub port: u16,
}

impl Ours {
    /// Whether a `Host` is one of them.
    pub fn host(self, given: &str) -> bool {
        NAMES.iter().any(|name| given == format!("{name}:{}", self.port))
    }

    /// Whether an `Origin` is a page from one of them.
    pub fn origin(self, given: &str) -> bool {
        given.strip_prefix("http://").is_some_and(|host| self.host(host))
    }

    /// What to type into a browser.
    pub fn address(self) -> String {
        format!("http://{}:{}/", NAMES[0], self.port)
    }
}

/// What every answer says to the browser: nothing is fetched from anywhere else, nothing written in the page runs, no other page frames
/// this one.
pub const HEADERS: [(&str, &str); 6] = [
    (
        "content-security-policy",
        "default-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'",
    ),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "no-referrer"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("cache-control", "no-store"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_our_own_addresses_pass_and_to_the_letter() {
        let ours = Ours { port: 4711 };
        for host in ["127.0.0.1:4711", "localhost:4711"] {
            assert!(ours.host(host) && ours.origin(&format!("http://{host}")));
        }
        for host in [
            "",
            "127.0.0.1",
            "localhost",
            "127.0.0.1:47110",
            "127.0.0.1:4711 ",
            "127.0.0.1:4711.evil.example",
            "localhost.evil.example:4711",
            "evil.example:4711",
            "LOCALHOST:4711",
            "[::1]:4711",
            "0.0.0.0:4711",
            "user@127.0.0.1:4711",
        ] {
            assert!(!ours.host(host) && !ours.origin(&format!("http://{host}")), "{host}");
        }
        for origin in [
            "null",
            "127.0.0.1:4711",
            "https://127.0.0.1:4711",
            "http://127.0.0.1:4711/",
            "http://http://127.0.0.1:4711",
        ] {
            assert!(!ours.origin(origin), "{origin}");
        }
    }
}
