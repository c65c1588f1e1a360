//! The page's files, as they are built into the program. Nothing else is served, and the page fetches nothing from anywhere else.

/// A file of the page.
#[derive(Clone, Copy, Debug)]
pub struct File {
    /// Where it is asked for.
    pub path: &'static str,
    /// What it is.
    pub kind: &'static str,
    /// Its text.
    pub text: &'static str,
}

macro_rules! files {
    ($($path:literal $name:literal $kind:literal)+) => {
        &[$(File { path: $path, kind: $kind, text: include_str!(concat!("page/", $name)) },)+]
    };
}

/// Those of the practice and the listening room.
pub const FILES: &[File] = files!(
    "/" "page.html" "text/html; charset=utf-8"
    "/page.css" "page.css" "text/css; charset=utf-8"
    "/debrief.css" "debrief.css" "text/css; charset=utf-8"
    "/page.js" "page.js" "text/javascript; charset=utf-8"
    "/line.js" "line.js" "text/javascript; charset=utf-8"
    "/sound.js" "sound.js" "text/javascript; charset=utf-8"
    "/loudness.js" "loudness.js" "text/javascript; charset=utf-8"
    "/worklet.js" "worklet.js" "text/javascript; charset=utf-8"
    "/screws.js" "screws.js" "text/javascript; charset=utf-8"
    "/throttle.js" "throttle.js" "text/javascript; charset=utf-8"
    "/smoke.js" "smoke.js" "text/javascript; charset=utf-8"
    "/bench.js" "bench.js" "text/javascript; charset=utf-8"
    "/debrief.js" "debrief.js" "text/javascript; charset=utf-8"
    "/listening" "listening.html" "text/html; charset=utf-8"
    "/listening.css" "listening.css" "text/css; charset=utf-8"
    "/listening.js" "listening.js" "text/javascript; charset=utf-8"
    "/clips.js" "clips.js" "text/javascript; charset=utf-8"
    "/engine.js" "engine.js" "text/javascript; charset=utf-8"
    "/mark.svg" "mark.svg" "image/svg+xml"
);

/// Those of a demonstration, which has a page of its own.
pub const DEMONSTRATION: &[File] = files!(
    "/" "demonstration.html" "text/html; charset=utf-8"
    "/page.css" "page.css" "text/css; charset=utf-8"
    "/demonstration.css" "demonstration.css" "text/css; charset=utf-8"
    "/demonstration.js" "demonstration.js" "text/javascript; charset=utf-8"
    "/line.js" "line.js" "text/javascript; charset=utf-8"
    "/sound.js" "sound.js" "text/javascript; charset=utf-8"
    "/loudness.js" "loudness.js" "text/javascript; charset=utf-8"
    "/worklet.js" "worklet.js" "text/javascript; charset=utf-8"
    "/smoke.js" "smoke.js" "text/javascript; charset=utf-8"
    "/engine.js" "engine.js" "text/javascript; charset=utf-8"
    "/mark.svg" "mark.svg" "image/svg+xml"
);

/// The file of the practice's page at a path.
pub fn file(path: &str) -> Option<&'static File> {
    FILES.iter().find(|file| file.path == path)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    fn all() -> impl Iterator<Item = &'static File> {
        FILES.iter().chain(DEMONSTRATION)
    }

    /// Everything that a page of this size needs comes within a third of a second over the slowest of home networks.
    #[test]
    fn the_page_is_small() {
        // What the pages share counts once.
        let texts: BTreeSet<&str> = all().map(|file| file.text).collect();
        let bytes: usize = texts.iter().map(|text| text.len()).sum();
        assert!((50_000..300_000).contains(&bytes), "{bytes}");
    }

    #[test]
    fn it_fetches_nothing_from_elsewhere_and_runs_nothing_written_into_it() {
        for file in all() {
            // The name of the drawing language is an address that nobody fetches.
            let text = file.text.replace("http://www.w3.org/2000/svg", "");
            for foreign in ["http://", "https://", "//cdn", "import(", "eval(", "innerHTML"] {
                assert!(!text.contains(foreign), "{}: {foreign}", file.path);
            }
            if file.kind.starts_with("text/html") {
                for inline in ["<style", "style=", "onclick", "onload", "javascript:"] {
                    assert!(!text.contains(inline), "{inline}");
                }
                assert_eq!(
                    text.matches("<script").count(),
                    text.matches("<script type=\"module\" src=").count()
                );
            }
        }
    }

    #[test]
    fn every_file_that_is_named_is_there() {
        for (file, among) in [FILES, DEMONSTRATION]
            .iter()
            .flat_map(|among| among.iter().map(move |file| (file, among)))
        {
            for start in ["from \"./", "href=\"/", "src=\"/", "addModule(\"/"] {
                for (at, _) in file.text.match_indices(start) {
                    let name = file.text[at + start.len()..].split('"').next().unwrap();
                    assert!(
                        among.iter().any(|known| known.path == format!("/{name}")),
                        "{}: {name}",
                        file.path
                    );
                }
            }
        }
    }
}
