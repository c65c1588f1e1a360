use super::*;

fn changed(from: &str, to: &str) -> String {
    let text = STUDIES[0].text;
    assert!(text.contains(from), "{from}");
    text.replacen(from, to, 1)
}

fn read(text: &str) -> Result<Study, ConfigError> {
    Study::read(&Source::new("mine.toml", text))
}

#[test]
fn every_built_in_study_reads_and_bears_its_own_name() {
    for file in STUDIES {
        let study = Study::read(&Source::new(file.path, file.text)).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(study.name, file.name);
    }
}

#[test]
fn mistakes_are_told_at_their_place() {
    for (from, to, expected) in [
        ("seed = ", "seeds = ", "has no key `seeds`; did you mean `seed`?"),
        ("\"lesson-1\"", "\"lesson-9\"", "there is no scenario `lesson-9`"),
        ("\"lesson-2\"", "\"lesson-1\"", "`scenarios` names `lesson-1` twice"),
        ("[\"club\"]", "[\"master\"]", "there is no skill `master`"),
        (
            "lost_turns = 50",
            "lost_turns = -1",
            "`lost_turns` = -1 is out of range",
        ),
        (
            "name = \"coach\"",
            "name = \"coah\"",
            "there is no strategy `coah`; did you mean `coach`?",
        ),
        (
            "[[strategy]]",
            "[[strategy]]\nname = \"coach\"\n[[strategy]]",
            "two strategies are called `coach`",
        ),
        (
            "name = \"coach\"",
            "name = \"coach\"\nlabel = \"a,b\"",
            "neither commas nor quotes",
        ),
        (
            "[[strategy]]",
            "[[hypothesis]]\nclaim = \"x\"\nmeasure = \"speed\"\nless = \"coach\"\nthan = \"coach\"\n[[strategy]]",
            "there is no measure `speed`",
        ),
        (
            "[[strategy]]",
            "[[hypothesis]]\nclaim = \"x\"\nmeasure = \"cost\"\nless = \"couch\"\nthan = \"coach\"\n[[strategy]]",
            "there is no strategy in this study `couch`; did you mean `coach`?",
        ),
    ] {
        let message = read(&changed(from, to)).unwrap_err().to_string();
        assert!(
            message.starts_with("mine.toml:") && message.contains(expected),
            "{message}"
        );
    }
    let nobody = STUDIES[0].text.split("[[strategy]]").next().unwrap();
    let message = read(nobody).unwrap_err().to_string();
    assert!(message.contains("nobody plays"), "{message}");
}

#[test]
fn the_identity_follows_what_is_played_and_not_what_is_asked_of_it() {
    let of = |text: &str| read(text).unwrap().identity().unwrap();
    let today = of(STUDIES[0].text);
    assert_eq!(of(&changed("lost_turns = 50", "lost_turns = 60")), today);
    assert_eq!(
        of(&changed("confidence_percent = 95", "confidence_percent = 90")),
        today
    );
    for (from, to) in [
        ("seed = ", "seed = 7"),
        ("\"lesson-1\", ", ""),
        ("[\"club\"]", "[\"expert\"]"),
        ("par = false", "par = true"),
        ("name = \"halving\"", "name = \"halving\"\nlabel = \"other\""),
        ("name = \"coach\"", "name = \"coach\"\nepisodes = 3"),
    ] {
        assert_ne!(of(&changed(from, to)), today, "{to}");
    }
    let more = read(STUDIES[0].text).unwrap().sized(None, Some(7)).identity().unwrap();
    assert_ne!(more, today);
}

#[test]
fn a_smaller_study_has_everybody_play_all_of_it_who_did() {
    let text = changed(
        "[[strategy]]",
        "[[strategy]]\nname = \"coach\"\nlabel = \"few\"\nepisodes = 20\n[[strategy]]",
    );
    let episodes = |n, label: &str| {
        let study = read(&text).unwrap().sized(None, Some(n));
        study.entrants.iter().find(|e| e.label == label).unwrap().episodes
    };
    assert_eq!([50, 7, 5000].map(|n| episodes(n, "few")), [20, 7, 20]);
    assert_eq!([50, 7, 5000].map(|n| episodes(n, "coach")), [50, 7, 5000]);
}

#[test]
fn hidden_engines_go_through_the_situations_in_turn() {
    let study = read(STUDIES[0].text).unwrap();
    let situations = study.scenarios.len() as u64;
    assert_eq!(study.engine(0), (0, 0));
    assert_eq!(study.engine(situations + 1), (1, 1));
    assert_eq!(study.engines(), situations * study.episodes());
}
