//! `explain --symptom NAME`: one symptom's whole story, second by second, beside the clean setting.

use needlebench::config::Models;
use needlebench::engine::params::{Faults, Setting};
use needlebench::fluids::air::Weather;
use needlebench::insight::story::{self, Apart, Sample, Tale};
use needlebench::plot;
use needlebench::practise::words::sheet::sheet;
use needlebench::practise::words::story as words;
use needlebench::tuning::same_mixture::same_mixture;

use super::{Arguments, CAUTION, Today, write};
use crate::cli::{Answer, Failure, output};

#[derive(serde::Serialize)]
struct StoryJson<'a> {
    seed: u64,
    engine: &'a str,
    fuel: &'a str,
    symptom: &'static str,
    setting: Setting,
    clean_setting: Setting,
    measured: Option<f64>,
    measured_clean: Option<f64>,
    apart: [Apart; 4],
    samples: &'a [Sample],
    samples_clean: &'a [Sample],
}

/// Plays the story and tells it.
pub fn run(arguments: &Arguments, today: &Today, tale: Tale) -> Result<Answer, Failure> {
    let clean = clean(arguments, today)?;
    let asked = match &arguments.setting {
        s if s.screws.high.is_none() && s.screws.low.is_none() && s.screws.idle.is_none() => {
            tale.shown_by().from(clean).unwrap_or(clean)
        }
        _ => today.setting,
    };
    let story = story::story(
        &today.setup,
        today.models.engine.rated_rpm,
        tale,
        [asked, clean],
        today.seed,
    );
    let runs = story.samples[0].first().is_some_and(|sample| sample.engine_rpm > 0.0);
    let [measured, measured_clean] = story.measures();
    let told = if arguments.answer.json {
        output::json(&StoryJson {
            seed: today.seed,
            engine: &today.models.engine.name,
            fuel: &today.models.fuel.name,
            symptom: tale.name(),
            setting: asked,
            clean_setting: clean,
            measured,
            measured_clean,
            apart: story.apart(),
            samples: &story.samples[0],
            samples_clean: &story.samples[1],
        })?
    } else {
        let setting = plot::subject::setting;
        let mut text = format!(
            "{} on {}, seed {}\nasked: {}\nclean: {}\n\n",
            today.models.engine.name,
            today.models.fuel.name,
            today.seed,
            setting(asked),
            setting(clean)
        );
        if !runs {
            text += "The engine does not run at the setting asked about: it dies at idle before the story begins.\n\n";
        }
        text + &words::story(&story) + &format!("\n{CAUTION}\n")
    };
    let mut pictures = Vec::new();
    if arguments.plot.is_some() {
        let svg = plot::story::svg(&today.subject(asked), &story)?;
        pictures.push((format!("story-{}.svg", tale.name()), svg));
        let lines = sheet(&story, &today.models.engine.name);
        let svg = plot::sheet::svg(&today.subject(asked), &story, &lines)?;
        pictures.push((format!("sheet-{}.svg", tale.name()), svg));
    }
    write(arguments, &told, None, &pictures)?;
    Ok(if runs { Answer::Yes } else { Answer::No })
}

/// The clean setting: the engine's reference, or with another fuel or weather the one that gives its mixture and its idle.
fn clean(arguments: &Arguments, today: &Today) -> Result<Setting, Failure> {
    let reference = today.models.engine.reference;
    if !arguments.engine.fuel.is_given() && today.weather == Weather::REFERENCE {
        return Ok(reference);
    }
    let usual = Models::of_engine(&arguments.engine.engine)?.setup(&Weather::REFERENCE, Faults::NONE)?;
    let rated_rpm = today.models.engine.rated_rpm;
    Ok(same_mixture(&today.setup, &usual, reference, rated_rpm, today.seed))
}
