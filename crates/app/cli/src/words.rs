//! Words of the trade as they are meant in the output; the words of the engine file are explained
//! by its schema.

/// A word and what it means here.
pub struct Word {
    /// The word, as the output has it.
    pub word: &'static str,
    /// Other words for it, and short forms.
    pub others: &'static [&'static str],
    /// The explanation: paragraphs parted by a line break.
    pub text: &'static str,
}

const fn w(word: &'static str, others: &'static [&'static str], text: &'static str) -> Word {
    Word { word, others, text }
}

/// The words, by subject.
pub const WORDS: &[Word] = &[
    w(
        "plus or minus",
        &["±", "+-", "uncertainty", "coverage"],
        "How far the true value may lie from the one printed, 19 times in 20 (coverage 95 %). A number is printed to the last place of its ±; where no ± is known, three figures and the words \"± not known\".\nThe ± of a prediction comes from your values (each with its own ±, wider for what is assumed) and from what the model is known to miss. Measure what moves the curve most and it gets smaller: shortblock moves FILE.",
    ),
    w(
        "difference",
        &["can't tell", "more", "less"],
        "Of two predicted builds: predict A.toml B.toml gives B less A. Its ± is its own and smaller than the ± of the two curves, because what is not known of both builds alike, and what the model has wrong in both, drops out. More or less: the difference is larger than its ±. Can't tell: its ± covers zero, so either build may be the better one.\nOnly pulls prove a gain: predicted differences say what is worth building and testing.",
    ),
    w(
        "pull",
        &["run"],
        "One sweep of engine speed under load, from run-up to tail, or one step test. The unit of every comparison is the pull, not the reading: readings within a pull move together. Found by shortblock read; a pull is never set aside by the program, only by a person with a reason.",
    ),
    w(
        "session",
        &["session file", "session.toml", "day"],
        "One day on one dyno: session.toml in the folder of its logs. Every word may be left out. A start, with your own values:\nformat = 1\ncorrection = \"SAE J1349 JUN90\"\n[[air]]\npressure = \"98.9 kPa\"\ntemperature = \"21 degC\"\nhumidity = \"45 %\"\n[[pull]]\nfile = \"run1.csv\"\nbuild = \"old\"\n[[pull]]\nfile = \"run2.csv\"\nbuild = \"new\"\nThe pulls stand in the order they were made. What is always so of the dyno, its elevation first of all, stands in a file of its own, named by dyno = \"dyno.toml\". shortblock schema session --docs has every word; shortblock check session.toml tells what is wrong with it.",
    ),
    w(
        "observed",
        &["as read"],
        "Observed is as the dyno read it. Corrected is brought to the air of a named standard by one factor a pull; what is corrected can't be corrected again. shortblock correct shows formula, air and factor; the observed figure always stands beside the corrected one.",
    ),
    w(
        "real",
        &["real gain", "real loss", "no difference worth having", "verdict"],
        "The four answers of compare. No difference worth having: the 90 % interval of the average lies within what you called worth having, and no stretch of 300 rpm lies beyond it. Real gain, real loss: the interval of the average excludes zero (97 times in 100), or the band over speed does over at least 300 rpm on end. Can't tell: neither; the page says what would settle it. One pull a side is never real.",
    ),
    w(
        "refit",
        &["change-over", "refitting", "setting", "bolt-on", "opened"],
        "Taking parts off and putting them, or others, on moves an engine by itself. More pulls between two refits never make that smaller; going back to A does. A setting (spark, jet, phase) unbolts nothing: 0.1 % is assumed; a bolt-on part 0.3 %; an opened engine 0.6 % (assumed, no source, until the dyno's own record knows better: compare --remember).",
    ),
    w(
        "predicted",
        &["prediction", "◇"],
        "Worked out by the model, not run on a dynamometer. Marked ◇, drawn dashed. A prediction is never shown as measured.",
    ),
    w(
        "measured",
        &["●"],
        "An instrument was on it: from = \"measured\" in the file. Marked ●, drawn solid. It wins over what is given, a maker's figure or an assumed value; the loser stays visible under it.",
    ),
    w("given", &["◐"], "Somebody says so. What is typed without more is given. Marked ◐."),
    w(
        "maker",
        &["maker's figure", "card", "▤"],
        "Printed by its maker: a cam card, a head's flow sheet. from = \"maker\" in the file. Marked ▤.",
    ),
    w(
        "worked out",
        &["="],
        "Found from other values of the file, for example the compression ratio from the volumes. Never typed.",
    ),
    w(
        "assumed",
        &["◌", "assumption", "default"],
        "Nobody said, so it was filled in, with a ±, a reason and a source. Marked ◌. shortblock show FILE --assumed lists what was assumed; a measured value in its place makes the ± of the prediction smaller.",
    ),
    w(
        "fault",
        &["faults"],
        "Something that can't be used: a word that is not known, a number without unit, a value that contradicts another. All faults are told at once, each with its line and what to do. Exit code 3.",
    ),
    w(
        "doubt",
        &["doubts", "doubt_ok"],
        "Something that can be right but rarely is. If it is right, say so beside the value, doubt_ok = \"reason\": the doubt is then kept with your reason and no longer asked.",
    ),
    w(
        "in order",
        &["watch", "stop"],
        "The three words of every check against a limit. In order: inside it. Watch: near it, look again. Stop: beyond it; do not run it so.\nThe limits are those of your file, or assumed ones that say so. A prediction says nothing about whether parts survive.",
    ),
    w(
        "limit",
        &["limits"],
        "What must not be passed: engine speed, mean piston speed, knock margin, inlet Mach index, peak pressure, exhaust temperature. State them in [limits]; the figures of the makers of your parts go before any that is assumed.",
    ),
    w(
        "goal",
        &[],
        "What the engine is for: [goal] power = \"340 hp below 8400 rpm\", torque = \"270 N.m from 5000 rpm\". Over a range of speeds a goal is judged at its best speed: it is reached when the curve comes up to it somewhere in the range, not all along it. To ask for torque at one speed write 270 N.m at 5000 rpm. The prediction says where the curve comes closest, by how much it is short or to spare, and how likely that is with the ±.",
    ),
    w(
        "engine file",
        &["file", "toml"],
        "A text (TOML) that says what the engine is: parts and measurements, each with its unit. shortblock schema --docs prints the page of all words; shortblock check FILE tells what is the matter with one.",
    ),
    w(
        "build",
        &["based_on"],
        "One state of an engine: its parts and measurements. A changed part is another build: based_on = \"b6\" and what is different.",
    ),
    w(
        "shop",
        &["shelf"],
        "The folder that holds the engines' folders and the shelf. A part on the shelf (shelf/heads/F-27.toml) can be used by any build: use = \"heads/F-27\". Files outside the shop's folder are not opened.",
    ),
    w(
        "torque",
        &["brake torque"],
        "Turning moment at the crankshaft's flywheel end, after friction and what the engine drives itself. What the engine drives is said under tested_as.",
    ),
    w(
        "power",
        &["brake power", "net power"],
        "Torque times speed at the flywheel end. hp is 550 ft.lbf/s (745.70 W), PS is 75 kgf.m/s (735.50 W).",
    ),
    w(
        "best torque",
        &["best power", "peak"],
        "The highest point of the curve, by the parabola through the highest worked out point and its neighbours, and the speed where it stands. A peak at an end of the range may lie outside: widen --speeds.",
    ),
    w(
        "range",
        &["95 % of best torque", "power band", "spread"],
        "The speeds around best torque at which the torque stays at or above 95 % of it: how wide the engine pulls. Give the range you race in as [goal] speed_from and speed_to for averages over it.",
    ),
    w(
        "corrected",
        &["correction", "correction factor", "iso 1585", "sae j1349", "din 70020"],
        "A measured figure brought to the air of a standard, so that days can be compared. The prediction is worked out in the air of the file or of --at; a rating that is compared with it must say which standard it is stated to (tested_as.correction).",
    ),
    w(
        "volumetric efficiency",
        &["ve", "filling"],
        "Air drawn in a cycle over the air that would fill the displacement as the air is around. Above 100 % when the pipes are in tune.",
    ),
    w(
        "mean effective pressure",
        &["bmep", "imep", "pmep", "fmep", "mep"],
        "Work of one cycle over displacement: torque made comparable between sizes. IMEP: net, on the piston. PMEP: of the gas exchange strokes, negative is a loss. FMEP: lost to friction and what the engine drives. BMEP = IMEP - FMEP: what comes out, 4 pi times torque over displacement.",
    ),
    w(
        "bsfc",
        &["brake specific fuel consumption", "specific fuel consumption"],
        "Fuel burned per unit of brake work. At full load a rich mixture costs fuel and buys torque and cooler parts.",
    ),
    w(
        "air flow",
        &["fuel flow"],
        "Mass of air, or of fuel, per unit of time at this speed; sizes throttle, air cleaner, pump and injectors.",
    ),
    w(
        "lambda",
        &["mixture", "air-fuel ratio", "λ"],
        "Air over the air that burns the fuel exactly. Below 1 is rich. Best torque of petrol lies near 0.86 to 0.90 (common practice, no source). Approach a leaner mixture at full load from the rich side: a lean engine knocks and burns pistons and valves.",
    ),
    w(
        "spark advance",
        &["spark", "ignition", "timing"],
        "Crank angle before top dead centre at which the plug fires. Asked for as \"best torque\" or \"best torque, knock limited\", the model finds it. Take it as a place to look, not to set: begin retarded and listen for knock.",
    ),
    w(
        "spark loop",
        &["mixture loop", "spark hook", "knocked"],
        "Pulls, or held readings, that differ in one setting alone: spark or mixture. Near its top torque is a parabola of the setting, so the best lies where the parabola does, within limits. Where knock comes first, or torque still rises, there is no best. To set: the end of what loses less than 0.5 %, retarded or lean. Up from retarded, down from rich, the first settings again at the end, so that drift shows.",
    ),
    w("best-torque spark", &["mbt"], "The least advance that gives the most torque at a speed."),
    w(
        "knock",
        &["detonation", "knock limited"],
        "Charge ahead of the flame that goes off by itself. It breaks pistons and gaskets. The limit here is a calculation with a ±, for the fuel's octane number as stated; approach spark and mixture from the safe side, and listen.",
    ),
    w(
        "knock margin",
        &["octane margin"],
        "Degrees of spark that could be added before the knock limit, or octane numbers to spare at this spark. Below zero: beyond the limit.",
    ),
    w(
        "burn",
        &["burn angle", "10-90", "0-10", "combustion duration", "50 % burned", "ca50"],
        "Crank angles between shares of the charge burned: 0-10 % (the flame starts), 10-50 %, 10-90 % (the main burn), and where 50 % is burned, after top dead centre. At best-torque spark 50 % is burned some 8 to 10 degrees after (common practice, no source).",
    ),
    w(
        "peak pressure",
        &["pmax", "cylinder pressure"],
        "The highest pressure in the cylinder over the cycle, absolute, and the crank angle where it stands. It loads rods, bolts and gaskets; cycles differ, and single ones go well above the mean shown here.",
    ),
    w(
        "residual",
        &["residual gas"],
        "Share of the trapped charge that is burned gas of the cycle before. More overlap at low speed, more residual: slower burn, less torque.",
    ),
    w(
        "exhaust temperature",
        &["egt"],
        "Mean temperature of the gas leaving the exhaust valves, weighted by flow. A probe in the pipe reads lower.",
    ),
    w(
        "inlet mach index",
        &["mach index", "choking", "choked", "z"],
        "Taylor's index: a typical speed of the gas through the intake valves over the speed of sound. Filling falls when it passes about 0.6. Choked: share of the time the valves are open in which the flow is at the speed of sound and takes no more.",
    ),
    w(
        "mean piston speed",
        &["piston speed"],
        "Twice the stroke times revolutions: what rods, rings and oil film feel. Engine speeds above what the makers of rotating and reciprocating parts state can throw parts: set an overspeed cut before the first pull.",
    ),
    w(
        "heat to walls",
        &["heat share", "wall heat"],
        "Heat to piston, head and liner over the heating value of the fuel.",
    ),
    w(
        "spread between cylinders",
        &["cylinder spread"],
        "Greatest difference of one cylinder's air from the mean: what unequal pipes and firing order do.",
    ),
    w(
        "two-mesh error",
        &["mesh", "discretisation", "coarse"],
        "The pipes are cut into cells; the same curve worked out on coarser ones tells by how much the answer still hangs on their size. It is part of the ±. --coarse uses the coarser cells alone and settles sooner: a quick first look, mostly within 2 % of the answer.",
    ),
    w(
        "clamp",
        &["clamps", "safeguard"],
        "A safeguard of the calculation that acted: a closure used outside its range, a number held. None acts silently; the line says which and at which speeds.",
    ),
    w(
        "converged",
        &["convergence", "not converged"],
        "The cycle is repeated until trapped masses and works no longer change. A speed that will not settle stays in the curve and is named with its last change. A speed that can't be worked out is left out and named, with the part, the cycle and its last good state; the rest of the curve is given. Exit code 5.",
    ),
    w(
        "moves",
        &["what moves it", "sensitivity"],
        "For a sensible step of each value, the change of the curve, ranked. What stands at the top is worth measuring first, or worth changing.",
    ),
    w(
        "sweep",
        &["vary"],
        "Two meanings. Here: curves over one or two values, sweep FILE --vary path=\"60 mm:120 mm:5 mm\". On a dynamometer: a pull through the speeds.",
    ),
    w(
        "cylinder",
        &["cylinders", "each"],
        "Cylinders count from 1. { each = \"38.2, 38.1, 38.3, 38.2 cc\" } gives one value per cylinder.",
    ),
    w(
        "level",
        &["avx2", "avx512", "baseline"],
        "Which instructions of the processor were used. Results agree between levels to a millionth.",
    ),
    w(
        "short block",
        &["shortblock"],
        "Block, crank, rods and pistons, without head and intake: what carries an engine's number through its builds.",
    ),
];
