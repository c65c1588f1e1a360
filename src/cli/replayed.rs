//! What is said of a recording that was replayed, to be seen again or to be shown: whether it came out as it was written, and where not.

use needlebench::practise::replay::Replayed;

use super::{Answer, output};

/// Says what is wrong with a recording, or that it has no ending; whether it was replayed to its last line exactly.
pub fn told(path: &str, replayed: &Replayed) -> Answer {
    if let Some(line) = replayed.changed_at {
        output::say(&format!(
            "{path}:{line}:1: this line does not follow what stands before it: the file was changed here (a line edited, left out or \
             doubled); what stands before it was replayed"
        ));
    }
    if let Some(line) = replayed.differs_at {
        output::say(&format!(
            "{path}:{line}:1: from here on it goes differently than recorded: the models or the practice's rules have changed since"
        ));
    }
    if replayed.cut_off {
        output::say("the recording is cut off in its last line: what is whole was replayed");
    } else if replayed.running() && replayed.exact() {
        output::say("the practice still runs, or was broken off before its end");
    }
    if replayed.exact() { Answer::Yes } else { Answer::No }
}
