//! What belongs before any practice: the dangers of the real thing, whose rules decide, and the task.

/// Danger by danger, as the sources have it (NIOSH Pocket Guide, OSHA, NIOSH noise criteria).
pub const DANGERS: &[(&str, &str)] = &[
    (
        "Methanol",
        "poisonous by breath, skin and mouth; burns with a nearly invisible flame",
    ),
    ("Nitromethane", "hazardous; amines make it sensitive to shock"),
    ("Exhaust", "has carbon monoxide: run engines outdoors"),
    (
        "Noise",
        "protect your hearing: 85 dB(A) for 8 hours, 100 dB(A) for 15 minutes",
    ),
    ("Hot, spinning", "head and pipe, flywheel and wheels"),
    ("Leaning", "never lean a real engine by numbers alone"),
];

/// Whose word counts.
pub const RULES: &str = "The simulator teaches. With a real engine its maker's instructions, the fuel's data sheet, your club's and the \
                         local rules decide.";

/// The task.
pub const TASK: &str = "Bring both needles and the idle stop to a clean, safe setting in as few turns as you can, then sign off, within \
                        an hour.";
