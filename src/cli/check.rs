//! `needlebench check`: the sign-off checks at a setting. Exit code 0 is clean, 1 is not.

use clap::Args;
use needlebench::bench::checks::{self, Facts, Limits, Report};
use needlebench::bench::manoeuvre::table::Waits;
use needlebench::bench::rig::Rig;
use needlebench::engine::params::Faults;
use needlebench::insight::spread::{self, Asked, Sureness};
use needlebench::practise::words::{Degrees, bogs, check_name, warning};
use needlebench::tuning::scenario::{self, Scenario};

use super::options::{AnswerOptions, EngineOptions, SeedOptions, SettingOptions, SpreadOptions, WeatherOptions};
use super::{Answer, Failure, output, sureness};

/// The sign-off checks at a setting: each measure, limit and verdict
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench check\n  \
    needlebench check --high 3.25 --low 1.125\n  \
    needlebench check --engine onroad-2.1 --temperature-c 5 --json\n  \
    needlebench check --limits lesson-1 --fahrenheit\n  \
    needlebench check --spread\n\n\
    Exit code 0: clean; 1: not clean. A check with `-` has no limit on that side.\n\
    The simulator teaches; the real engine and its maker's instructions decide.")]
pub struct Arguments {
    /// Temperatures of the text in °F (JSON stays in °C)
    #[arg(long, help_heading = "Answer")]
    fahrenheit: bool,
    #[command(flatten)]
    engine: EngineOptions,
    #[command(flatten)]
    weather: WeatherOptions,
    #[command(flatten)]
    setting: SettingOptions,
    /// Limits of this scenario, a built-in name or a file with a table [limits], and nothing else of it [default: common
    /// practice]
    #[arg(long, value_name = "NAME|FILE", help_heading = "Setting")]
    limits: Option<String>,
    #[command(flatten)]
    seed: SeedOptions,
    #[command(flatten)]
    spread: SpreadOptions,
    #[command(flatten)]
    answer: AnswerOptions,
}

/// What is printed as JSON.
#[derive(serde::Serialize)]
struct Checked<'a> {
    #[serde(flatten)]
    report: &'a Report,
    /// Clean, and it would still be with the needles a little leaner.
    safe_clean: bool,
    /// The same by other sets of constants, if that was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    spread: Option<&'a Sureness>,
}

/// Runs the checks and prints them.
pub fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    let models = arguments.engine.load()?;
    let setup = models.setup(&arguments.weather.weather(), Faults::NONE)?;
    let sets = arguments.spread.setups(&arguments.engine, &models, &setup)?;
    let setting = arguments.setting.setting(models.engine.reference);
    let seed = arguments.seed.seed;
    let facts = Facts::of(&models.engine, &setup);
    let limits = match &arguments.limits {
        Some(name) => Scenario::read(&scenario::source(name)?)?.limits,
        None => Limits::STANDARD,
    };
    let start = if arguments.setting.cold {
        Rig::cold(&setup, setting, seed)
    } else {
        Rig::warm(&setup, setting, seed)
    };
    let mut reports = checks::check_settings(
        start,
        &setup,
        facts,
        &[setting, checks::leaner(setting)],
        seed,
        &limits,
        &Waits::STANDARD,
    );
    let leaner = reports.pop();
    let report = reports.swap_remove(0);
    let safe_clean = report.clean && leaner.is_some_and(|leaner| leaner.clean);
    let asked = Asked {
        engine: &models.engine,
        setting,
        cold: arguments.setting.cold,
        seed,
        limits: &limits,
    };
    let spread = sets.map(|sets| Sureness::of(&report, &spread::reports(&asked, &sets)));
    if arguments.answer.json {
        output::print_json(&Checked {
            report: &report,
            safe_clean,
            spread: spread.as_ref(),
        })?;
    } else {
        let degrees = if arguments.fahrenheit {
            Degrees::Fahrenheit
        } else {
            Degrees::Celsius
        };
        let said = text(&report, safe_clean, &models.engine.name, &models.fuel.name, degrees);
        let sure = spread.map_or(String::new(), |spread| sureness::text(&report, &spread, degrees));
        output::print(&(said + &sure))?;
    }
    Ok(if report.clean { Answer::Yes } else { Answer::No })
}

fn text(report: &Report, safe_clean: bool, engine: &str, fuel: &str, degrees: Degrees) -> String {
    let s = report.setting;
    let mut out = format!(
        "{engine} on {fuel}, high {:.3}, low {:.3}, idle stop {:.3} turns, seed {}\n\n  {:24} {:>10} {:>10} {:>10}  {:18}\n",
        s.high_turns, s.low_turns, s.idle_turns, report.seed, "check", "value", "at least", "at most", "unit"
    );
    for c in &report.checks {
        let number = |x: Option<f64>| x.map(|x| sureness::format_value(degrees.value(x, c.unit)));
        let limit = |x: Option<f64>| number(x).unwrap_or_else(|| "-".to_string());
        out += &format!(
            "  {:24} {:>10} {:>10} {:>10}  {:18} {}\n",
            check_name(c.name),
            number(c.value).unwrap_or_else(|| "died".to_string()),
            limit(c.low),
            limit(c.high),
            degrees.unit(c.unit),
            if c.pass { "ok" } else { "NOT CLEAN" }
        );
    }
    let y = &report.symptoms;
    let show = |x: Option<f64>, digits: usize| x.map_or("-".to_string(), |v| format!("{v:.digits$}"));
    out += &format!(
        "\n  mixture (equivalence ratio, oil inert): idle {}, half {}, full {}; air-fuel ratio full {}\n",
        show(y.equivalence_ratio_idle, 3),
        show(y.equivalence_ratio_half, 3),
        show(y.equivalence_ratio_full, 3),
        show(y.air_fuel_ratio_full, 2)
    );
    out += &format!(
        "  full throttle: {} W at the brake, {} rpm wheels up, smoke {} % opacity, fuel {} g/s\n",
        show(y.full_throttle_power_w, 0),
        show(y.full_throttle_rpm, 0),
        show(y.smoke_opacity_percent, 1),
        show(y.fuel_flow_full_g_per_s, 3)
    );
    for worth in &report.warnings {
        out += &format!("  note: {}\n", warning(worth, degrees));
    }
    if let Some(bog) = report.bog {
        out += &format!("  note: on a snap {}\n", bogs(bog));
    }
    if report.clean {
        let stays = if safe_clean { "it stays" } else { "it does not stay" };
        out += &format!("  note: {stays} clean with the high-speed needle 1/8 and the low-speed needle 1/24 leaner\n");
    }
    out += if report.clean { "\nclean\n" } else { "\nnot clean\n" };
    out
}
