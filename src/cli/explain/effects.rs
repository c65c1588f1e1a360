//! `explain` without more: what an eighth of a turn on each screw does to every symptom, which screw is for what, and by which paths.

use needlebench::engine::Setup;
use needlebench::engine::params::{EngineParams, LawParams, Setting};
use needlebench::insight::causes::{self, Action, Causes, Outcome};
use needlebench::insight::effects::{self, Effect, Model, Pair, SEEDS, Turn};
use needlebench::insight::relative_gain::{self, Interaction, OUTCOMES};
use needlebench::insight::symptom::Symptom;
use needlebench::plot;
use needlebench::practise::words::explain as words;
use needlebench::stats::Interval;
use needlebench::tuning::action::Screw;

use super::{Arguments, CAUTION, Today, write};
use crate::cli::bar::Bar;
use crate::cli::options::other_constants;
use crate::cli::{Answer, Failure, output};

/// Seeds that causes are shared out with.
const CAUSE_SEEDS: usize = 6;

/// What is explained where nothing else is asked for: the first is the one in JSON's `causes`.
fn actions() -> [Action; 3] {
    let action = |screw, by, outcome| Action {
        turn: Turn { screw, by },
        outcome,
    };
    [
        action(Screw::High, -effects::TURNS, Outcome::Idle),
        action(Screw::Low, -effects::TURNS, Outcome::AfterBurst),
        action(Screw::Low, effects::TURNS, Outcome::AfterBurst),
    ]
}

/// Everything found at a setting.
struct Explained {
    pairs: Vec<Pair>,
    effects: Vec<Effect>,
    /// Sets of constants that the spreads are over; none for an engine that the ensemble does not know.
    sets: usize,
    interaction: Option<Interaction>,
    causes: Vec<(Action, Option<Causes>)>,
}

impl Explained {
    /// The engine idles in two runs at least, so that anything can be said.
    fn runs(&self) -> bool {
        self.pairs.iter().filter(|pair| pair.at.idle_rpm.is_some()).count() > 1
    }
}

/// Finds out and tells.
pub fn run(arguments: &Arguments, today: &Today) -> Result<Answer, Failure> {
    let constants = other_constants(&today.models.engine)?;
    let of_set = |(engine, laws): &(EngineParams, LawParams)| Setup {
        engine: *engine,
        laws: *laws,
        ..today.setup
    };
    let explained = explain(today, &constants.iter().map(of_set).collect::<Vec<_>>());
    let told = if arguments.answer.json {
        output::json(&json(&explained, today))?
    } else {
        text(&explained, today)
    };
    let mut pictures = Vec::new();
    if arguments.plot.is_some() {
        let found: Vec<&Causes> = explained
            .causes
            .iter()
            .filter_map(|(_, causes)| causes.as_ref())
            .collect();
        let svg = plot::causes::svg(&today.subject(today.setting), CAUSE_SEEDS, &found)?;
        pictures.push(("causes.svg".to_string(), svg));
    }
    write(arguments, &told, None, &pictures)?;
    Ok(if explained.runs() { Answer::Yes } else { Answer::No })
}

fn explain(today: &Today, sets: &[Setup]) -> Explained {
    let mut bar = Bar::new("explain");
    let model = Model {
        setup: &today.setup,
        facts: today.facts(),
    };
    let (setting, seed) = (today.setting, today.seed);
    let seeds: Vec<u64> = (0..SEEDS).map(|k| seed.wrapping_add(k)).collect();
    let mut pairs = Vec::with_capacity(seeds.len());
    for few in seeds.chunks(seeds.len().div_ceil(2)) {
        pairs.extend(effects::pairs(&model, setting, few));
        bar.show(0.7 * pairs.len() as f64 / seeds.len() as f64);
    }
    let ensemble = effects::over_sets(&today.models.engine, sets, setting, seed);
    let mut causes = Vec::new();
    for action in actions() {
        let found = causes::causes(&today.setup, setting, action, &seeds[..CAUSE_SEEDS]);
        causes.push((action, found));
        bar.show(0.7 + 0.1 * causes.len() as f64);
    }
    Explained {
        effects: effects::effects(&pairs, &ensemble),
        sets: sets.len(),
        interaction: relative_gain::interaction(&pairs),
        pairs,
        causes,
    }
}

#[derive(serde::Serialize)]
struct EffectJson {
    screw: Screw,
    turns: f64,
    symptom: &'static str,
    unit: &'static str,
    at: Option<f64>,
    change: Option<f64>,
    low: Option<f64>,
    high: Option<f64>,
    spread_low: Option<f64>,
    spread_high: Option<f64>,
    /// Whether the sets agree with the engine's own constants on which way it goes; none without sets, or where nothing is sure.
    sets_agree: Option<bool>,
    pairs: usize,
    sentence: String,
}

#[derive(serde::Serialize)]
struct CauseJson {
    link: &'static str,
    share: Option<f64>,
    change_rpm: f64,
    low_rpm: Option<f64>,
    high_rpm: Option<f64>,
}

#[derive(serde::Serialize)]
struct ActionJson {
    screw: Screw,
    turns: f64,
    outcome: &'static str,
    before_rpm: Option<f64>,
    change_rpm: Option<f64>,
    low_rpm: Option<f64>,
    high_rpm: Option<f64>,
    share_with_film_held: Option<f64>,
    chain: Vec<causes::Moved>,
    causes: Vec<CauseJson>,
}

#[derive(serde::Serialize)]
struct ExplainedJson<'a> {
    seed: u64,
    seeds: u64,
    sets: usize,
    engine: &'a str,
    fuel: &'a str,
    setting: Setting,
    runs: bool,
    effects: Vec<EffectJson>,
    relative_gain_outcomes: [&'static str; 3],
    relative_gain_screws: [Screw; 3],
    relative_gain: Option<[[f64; 3]; 3]>,
    relative_gain_intervals: Option<[[Interval; 3]; 3]>,
    gain_per_turn: Option<[[f64; 3]; 3]>,
    reading: Vec<String>,
    causes: Vec<CauseJson>,
    actions: Vec<ActionJson>,
}

fn parts(causes: Option<&Causes>) -> Vec<CauseJson> {
    let part = |part: &causes::Part| CauseJson {
        link: words::path(part.path),
        share: part.share,
        change_rpm: part.change.mean,
        low_rpm: part.change.interval.map(|i| i.low),
        high_rpm: part.change.interval.map(|i| i.high),
    };
    causes.map_or_else(Vec::new, |causes| causes.parts.iter().map(part).collect())
}

fn json<'a>(found: &Explained, today: &'a Today) -> ExplainedJson<'a> {
    let effect = |effect: &Effect| EffectJson {
        screw: effect.turn.screw,
        turns: effect.turn.by,
        symptom: effect.symptom.key(),
        unit: effect.symptom.unit(),
        at: effect.at,
        change: effect.change,
        low: effect.low,
        high: effect.high,
        spread_low: effect.spread_low,
        spread_high: effect.spread_high,
        sets_agree: effect.sets_agree(),
        pairs: effect.pairs,
        sentence: words::effect(effect),
    };
    let action = |(action, causes): &(Action, Option<Causes>)| ActionJson {
        screw: action.turn.screw,
        turns: action.turn.by,
        outcome: action.outcome.key(),
        before_rpm: causes.as_ref().map(|c| c.before),
        change_rpm: causes.as_ref().map(|c| c.whole.mean),
        low_rpm: causes.as_ref().and_then(|c| c.whole.interval).map(|i| i.low),
        high_rpm: causes.as_ref().and_then(|c| c.whole.interval).map(|i| i.high),
        share_with_film_held: causes.as_ref().and_then(|c| c.past_film),
        chain: causes.as_ref().map_or_else(Vec::new, |c| c.chain.clone()),
        causes: parts(causes.as_ref()),
    };
    ExplainedJson {
        seed: today.seed,
        seeds: SEEDS,
        sets: found.sets,
        engine: &today.models.engine.name,
        fuel: &today.models.fuel.name,
        setting: today.setting,
        runs: found.runs(),
        effects: found.effects.iter().map(effect).collect(),
        relative_gain_outcomes: OUTCOMES.map(Symptom::key),
        relative_gain_screws: Screw::ALL,
        relative_gain: found.interaction.map(|i| i.relative),
        relative_gain_intervals: found.interaction.and_then(|i| i.intervals),
        gain_per_turn: found.interaction.map(|i| i.gains),
        reading: found.interaction.as_ref().map_or_else(Vec::new, words::interaction),
        causes: parts(found.causes[0].1.as_ref()),
        actions: found.causes.iter().map(action).collect(),
    }
}

/// Sentences a turn is told in, at most.
const SENTENCES: usize = 5;

fn text(found: &Explained, today: &Today) -> String {
    let mut out = format!("{}s {} and {} more\n", today.heading(), today.seed, SEEDS - 1);
    if !found.runs() {
        out += "\nThe engine does not run here: its idle dies, so nothing can be said of what a turn changes.\n\
Start from a setting that runs: without --high, --low and --idle it is the engine's reference.\n";
        return out;
    }
    out +=
        "\nAn eighth of a turn on each screw: change and 95 % interval of chance; * where chance does not explain it\n";
    for screw in Screw::ALL {
        out += &table(found, screw);
    }
    out += &of_sets(found);
    out += "\nWhich screw for what (relative gain array; 1: to itself, 0: not at all)\n";
    match &found.interaction {
        Some(interaction) => out += &array(interaction),
        None => out += "  can't be told: the engine dies at one of the turns\n",
    }
    out += "\nWhy\n";
    for (action, causes) in &found.causes {
        match causes {
            Some(causes) => {
                for line in words::causes(causes) {
                    out += &format!("  {line}\n");
                }
            }
            None => {
                out += &format!(
                    "  {}: can't be shared out, since the engine dies in some of the runs\n",
                    words::turn(action.turn)
                );
            }
        }
    }
    out += &format!("\n{CAUTION}\n");
    out
}

/// What turns its sign within the sets of constants, or that nothing does; of what anybody would notice.
fn of_sets(found: &Explained) -> String {
    if found.sets == 0 {
        return "\nHow sure the model itself is: not told, since no sets of constants were drawn for this engine.\n"
            .to_string();
    }
    let noticed = || found.effects.iter().filter(|e| e.size() >= 1.0);
    let asked = noticed().filter(|e| e.sets_agree().is_some()).count();
    let turning: Vec<&Effect> = noticed().filter(|e| e.sets_agree() == Some(false)).collect();
    let mut out = format!(
        "\nHow sure the model itself is: the middle 90 % of {} sets of constants that fit as well agree on the direction of {} of {asked} \
         effects that anybody would notice\n",
        found.sets,
        asked - turning.len()
    );
    for effect in turning {
        out += &format!(
            "  - not on {} by {}\n",
            words::symptom(effect.symptom),
            words::turn(effect.turn)
        );
    }
    out
}

/// The effects of both ways of a screw beside each other, and the greatest in words.
fn table(found: &Explained, screw: Screw) -> String {
    let of = |by: f64| {
        let own = move |effect: &&Effect| effect.turn.screw == screw && effect.turn.by * by > 0.0;
        found.effects.iter().filter(own).collect::<Vec<_>>()
    };
    let (less, more) = (of(-1.0), of(1.0));
    let heading = |effects: &[&Effect]| effects.first().map_or_else(String::new, |e| words::turn(e.turn));
    let mut out = format!(
        "\n  {:28} {:>10}  {:36}  {}\n",
        "",
        "here",
        heading(&less),
        heading(&more)
    );
    for (less, more) in less.iter().zip(&more) {
        let symptom = less.symptom;
        let at = less.at.map_or("-".to_string(), |at| words::value(symptom, at));
        out += &format!(
            "  {:28} {at:>10}  {:36}  {:36}  {}\n",
            words::symptom(symptom),
            cell(less),
            cell(more),
            symptom.unit()
        );
    }
    for effects in [less, more] {
        let mut told: Vec<&Effect> = effects.into_iter().filter(|e| e.is_sure() && e.size() >= 1.0).collect();
        told.sort_by(|a, b| b.size().total_cmp(&a.size()));
        for effect in told.into_iter().take(SENTENCES) {
            out += &format!("  - {}\n", words::effect(effect));
        }
    }
    out
}

fn cell(effect: &Effect) -> String {
    let (Some(change), Some(low), Some(high)) = (effect.change, effect.low, effect.high) else {
        return "-".to_string();
    };
    let of = |change| words::change(effect.symptom, change);
    // What vanishes in rounding deserves no mark.
    let told = of(change) != words::change(effect.symptom, 0.0);
    let star = if effect.is_sure() && told { "*" } else { " " };
    format!("{:>8}{star} ({} to {})", of(change), of(low), of(high))
}

fn array(interaction: &Interaction) -> String {
    let mut out = format!("  {:24}{:>14}{:>14}{:>14}\n", "", "high", "low", "idle stop");
    for (row, outcome) in OUTCOMES.iter().enumerate() {
        let cells: String = interaction.relative[row]
            .iter()
            .map(|e| format!("{:>14.2}", e + 0.0))
            .collect();
        out += &format!("  {:24}{cells}\n", words::symptom(*outcome));
    }
    for line in words::interaction(interaction) {
        out += &format!("  - {line}\n");
    }
    out
}
