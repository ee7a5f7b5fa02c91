//! Headings taken apart into plain words of the trade, and the channels these name.
//!
//! The words are common practice in English, German, French, Italian, Spanish, Swedish and Japanese
//! headings, no source.

use crate::channel::Channel;

/// A heading as a set of plain words, a number, and how many words nobody knew.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Name {
    words: Vec<&'static str>,
    /// Bank or cylinder, 0 where none is said.
    number: u8,
    known: usize,
    unknown: usize,
}

/// Spellings on the left, plain words on the right.
const SPELLINGS: &[(&str, &[&str])] = &[
    ("t", &["time", "temperature", "letter"]),
    ("time zeit temps tempo tiempo tid tijd clock elapsed timestamp seconds secs", &["time"]),
    ("uhrzeit heure hora 時間 時刻 経過時間", &["time"]),
    ("rpm revs rev drehzahl regime regimen giri nmot nm1 n1 tours varvtal toerental", &["turns"]),
    ("回転数 回転速度 エンジン回転数 エンジン回転速度 機関回転数", &["turns"]),
    ("n", &["turns", "letter"]),
    ("speed spd velocity vel geschwindigkeit vitesse velocita kmh kph mph", &["speed"]),
    ("engine eng motor moteur motore mot crank crankshaft kurbelwelle", &["engine"]),
    ("torque tq trq drehmoment couple coppia md moment drehm vridmoment koppel", &["torque"]),
    ("トルク 軸トルク", &["torque"]),
    ("m", &["torque", "letter"]),
    (
        "power pwr pow leistung puissance potenza potencia effekt hp bhp kw ps horsepower",
        &["power"],
    ),
    ("出力 軸出力 馬力", &["power"]),
    ("p", &["pressure", "power", "letter"]),
    ("corrected corr cor korr korrigiert corrige corretta normalised", &["corrected"]),
    ("sae stp std din iso ece", &["corrected", "standard"]),
    ("cf kfaktor corrfactor", &["corrected", "factor"]),
    ("factor faktor facteur fattore", &["factor"]),
    ("uncorrected observed raw unkorrigiert asread obs", &["observed"]),
    ("load force kraft loadcell last", &["load"]),
    ("brake dyno dynamometer bremse prufstand", &["brake"]),
    ("cell room raum test ambient amb umgebung outside", &["ambient"]),
    ("roller drum rolle rouleau rullo", &["roller"]),
    ("vehicle car road fahrzeug vehicule", &["vehicle"]),
    ("wheel wheels rad roue hub tyre tire", &["wheel"]),
    ("tractive traction zugkraft effort", &["tractive"]),
    ("ratio uebersetzung rapport rapporto", &["ratio"]),
    ("gear gang vitesses marcia", &["gear"]),
    ("rate accel acceleration", &["rate"]),
    ("sweep", &["sweep"]),
    ("スロットル スロットル開度", &["throttle"]),
    ("throttle tps drosselklappe papillon farfalla thr pedal", &["throttle"]),
    ("position pos angle winkel stellung", &["position"]),
    ("水温 冷却水温", &["coolant", "temperature"]),
    ("油温", &["oil", "temperature"]),
    ("油圧", &["oil", "pressure"]),
    ("燃圧", &["fuel", "pressure"]),
    ("吸気温 吸気温度", &["intake", "air", "temperature"]),
    ("大気圧 気圧", &["barometer"]),
    ("湿度", &["humidity"]),
    ("空燃比", &["mixture"]),
    ("排気温 排気温度", &["exhaust", "temperature"]),
    ("manifold plenum saugrohr collecteur collettore mani", &["manifold"]),
    ("map", &["manifold", "pressure"]),
    ("boost ladedruck charge suralimentation", &["boost"]),
    ("turbo compressor supercharger blower lader", &["compressor"]),
    ("baro barometer barometric atm atmo atmospheric atmospherique luftdruck", &["barometer"]),
    ("dry trocken", &["dry"]),
    ("vapour vapor dampf", &["vapour"]),
    ("humidity hum rh feuchte humidite umidita hygro", &["humidity"]),
    ("dew dewpoint taupunkt", &["dew"]),
    ("wet wetbulb feuchtkugel", &["wet"]),
    ("bulb point relative rel", &["filler"]),
    ("air luft aria", &["air"]),
    ("intake inlet induction ansaug admission aspirazione in", &["intake"]),
    ("iat act mat", &["intake", "air", "temperature"]),
    ("temp temperature temperatur temper tmp degc degf", &["temperature"]),
    ("coolant water wasser eau acqua kuhlmittel kuhlwasser cool kw1", &["coolant"]),
    ("ect clt cht", &["coolant", "temperature"]),
    ("oil ol oel huile olio", &["oil"]),
    ("oilp poil oilpress", &["oil", "pressure"]),
    ("oilt toil oiltemp", &["oil", "temperature"]),
    ("fuel kraftstoff benzin carburant carburante petrol gas", &["fuel"]),
    ("fuelp pfuel fp fuelpress", &["fuel", "pressure"]),
    ("pressure press pres druck pression pressione prs", &["pressure"]),
    ("flow durchfluss debit portata mass", &["flow"]),
    ("maf airflow", &["air", "flow"]),
    ("lambda lam afr af o2 wb wideband mixture gemisch ratioaf lbd λ", &["mixture"]),
    ("exhaust abgas echappement scarico exh", &["exhaust"]),
    ("egt", &["exhaust", "temperature"]),
    ("spark ignition ign advance adv timing zundung zundwinkel zzp allumage", &["spark"]),
    ("injector inj injection einspritz", &["injector"]),
    ("pulse pw pulsewidth width puls", &["pulse"]),
    ("duty dc idc", &["duty"]),
    ("knock klopf klopfen knk cliquetis", &["knock"]),
    ("battery batt bat vbat voltage volt ubat supply", &["battery"]),
    ("crankcase kurbelgehause pcc", &["crankcase"]),
    ("blowby", &["blowby"]),
    ("vibration vib", &["vibration"]),
    ("out outlet aus exit sortie", &["out"]),
    ("bank cyl cylinder zyl sensor no nr", &["of"]),
    ("left links l", &["left"]),
    ("right rechts r", &["right"]),
    ("avg average mean act1 actual ist value wert level count", &["filler"]),
];

/// Words that must all be there, words that must not, and what they name.
struct Rule {
    all: &'static [&'static str],
    none: &'static [&'static str],
    make: fn(&Name) -> Channel,
}

const fn rule(
    all: &'static [&'static str],
    none: &'static [&'static str],
    make: fn(&Name) -> Channel,
) -> Rule {
    Rule { all, none, make }
}

/// The longest match wins; of equal ones the first.
const RULES: &[Rule] = &[
    rule(&["time"], &["injector", "pulse"], |_| Channel::Time),
    rule(&["engine", "turns"], &[], |_| Channel::EngineSpeed),
    rule(&["engine", "speed"], &["roller", "vehicle", "wheel"], |_| Channel::EngineSpeed),
    rule(&["turns"], &["roller", "vehicle", "wheel", "compressor", "rate"], |_| {
        Channel::EngineSpeed
    }),
    rule(&["compressor", "speed"], &[], |_| Channel::BoostSpeed),
    rule(&["compressor", "turns"], &[], |_| Channel::BoostSpeed),
    rule(&["roller", "speed"], &[], |_| Channel::RollerSpeed),
    rule(&["vehicle", "speed"], &[], |_| Channel::RollerSpeed),
    rule(&["wheel", "speed"], &[], |_| Channel::RollerSpeed),
    rule(&["speed"], &["engine", "compressor"], |_| Channel::RollerSpeed),
    rule(&["corrected", "torque"], &["observed", "wheel"], |_| Channel::CorrectedTorque),
    rule(&["corrected", "power"], &["observed", "pressure", "wheel"], |_| Channel::CorrectedPower),
    rule(&["wheel", "torque"], &["corrected"], |_| Channel::WheelTorque),
    rule(&["wheel", "power"], &["corrected"], |_| Channel::WheelPower),
    rule(&["torque"], &["corrected", "wheel"], |_| Channel::Torque),
    rule(&["observed", "torque"], &["wheel"], |_| Channel::Torque),
    rule(
        &["power"],
        &["corrected", "wheel", "oil", "fuel", "barometer", "ambient", "coolant", "boost"],
        |_| Channel::Power,
    ),
    rule(&["observed", "power"], &["wheel"], |_| Channel::Power),
    rule(&["corrected", "factor"], &[], |_| Channel::CorrectionFactor),
    rule(&["factor"], &[], |_| Channel::CorrectionFactor),
    rule(&["brake", "load"], &[], |_| Channel::BrakeLoad),
    rule(&["load"], &["tractive"], |_| Channel::BrakeLoad),
    rule(&["tractive"], &[], |_| Channel::TractiveForce),
    rule(&["ratio"], &["mixture"], |_| Channel::DriveRatio),
    rule(&["gear"], &[], |_| Channel::Gear),
    rule(&["sweep", "rate"], &[], |_| Channel::SweepRate),
    rule(&["turns", "rate"], &[], |_| Channel::SweepRate),
    rule(&["throttle"], &[], |_| Channel::Throttle),
    rule(&["manifold", "pressure"], &[], |_| Channel::ManifoldPressure),
    rule(&["manifold"], &["temperature"], |_| Channel::ManifoldPressure),
    rule(&["manifold", "air", "temperature"], &[], |_| Channel::IntakeAirTemperature),
    rule(&["manifold", "temperature"], &[], |_| Channel::IntakeAirTemperature),
    rule(&["boost"], &["temperature", "turns"], |_| Channel::Boost),
    rule(&["barometer"], &[], |_| Channel::Barometer),
    rule(&["ambient", "pressure"], &[], |_| Channel::Barometer),
    rule(&["air", "pressure"], &["manifold"], |_| Channel::Barometer),
    rule(&["dry", "pressure"], &[], |_| Channel::DryPressure),
    rule(&["vapour", "pressure"], &[], |_| Channel::VapourPressure),
    rule(&["vapour"], &[], |_| Channel::VapourPressure),
    rule(&["humidity"], &[], |_| Channel::RelativeHumidity),
    rule(&["dew"], &[], |_| Channel::DewPoint),
    rule(&["wet"], &[], |_| Channel::WetBulb),
    rule(&["intake", "air", "temperature"], &[], |_| Channel::IntakeAirTemperature),
    rule(&["intake", "temperature"], &["coolant", "oil"], |_| Channel::IntakeAirTemperature),
    rule(&["ambient", "temperature"], &[], |_| Channel::CellAirTemperature),
    rule(&["ambient", "air", "temperature"], &[], |_| Channel::CellAirTemperature),
    rule(&["intake", "air"], &["flow", "pressure"], |_| Channel::IntakeAirTemperature),
    rule(&["air", "temperature"], &["ambient"], |_| Channel::IntakeAirTemperature),
    rule(&["coolant", "intake", "temperature"], &[], |_| Channel::CoolantInTemperature),
    rule(&["coolant", "flow"], &[], |_| Channel::CoolantFlow),
    rule(&["coolant", "temperature"], &["intake"], |_| Channel::CoolantTemperature),
    rule(&["coolant"], &["pressure", "flow", "intake"], |_| Channel::CoolantTemperature),
    rule(&["engine", "temperature"], &["oil"], |_| Channel::CoolantTemperature),
    rule(&["oil", "temperature"], &[], |_| Channel::OilTemperature),
    rule(&["oil", "pressure"], &[], |_| Channel::OilPressure),
    rule(&["fuel", "pressure"], &[], |_| Channel::FuelPressure),
    rule(&["fuel", "temperature"], &[], |_| Channel::FuelTemperature),
    rule(&["fuel", "flow"], &[], |_| Channel::FuelFlow),
    rule(&["fuel"], &["pressure", "temperature", "air"], |_| Channel::FuelFlow),
    rule(&["air", "flow"], &[], |_| Channel::AirFlow),
    rule(&["air", "fuel"], &["flow", "temperature"], |n| Channel::Lambda(n.number)),
    rule(&["air", "fuel", "ratio"], &[], |n| Channel::Lambda(n.number)),
    rule(&["mixture"], &["exhaust"], |n| Channel::Lambda(n.number)),
    rule(&["mixture", "exhaust"], &[], |n| Channel::Lambda(n.number)),
    rule(&["exhaust", "temperature"], &[], |n| Channel::ExhaustTemperature(n.number)),
    rule(&["exhaust"], &["pressure"], |n| Channel::ExhaustTemperature(n.number)),
    rule(&["exhaust", "pressure"], &[], |_| Channel::ExhaustPressure),
    rule(&["spark"], &[], |_| Channel::SparkAdvance),
    rule(&["injector", "time"], &[], |_| Channel::InjectorPulse),
    rule(&["injector", "pulse"], &[], |_| Channel::InjectorPulse),
    rule(&["pulse"], &[], |_| Channel::InjectorPulse),
    rule(&["injector", "duty"], &[], |_| Channel::InjectorDuty),
    rule(&["duty"], &[], |_| Channel::InjectorDuty),
    rule(&["knock"], &[], |n| Channel::Knock(n.number)),
    rule(&["battery"], &[], |_| Channel::Battery),
    rule(&["crankcase"], &["temperature"], |_| Channel::CrankcasePressure),
    rule(&["blowby"], &[], |_| Channel::BlowBy),
    rule(&["vibration"], &[], |_| Channel::Vibration),
];

/// A channel that a heading names.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Named {
    pub channel: Channel,
    /// True when every word of the heading was understood and it is more than a single letter.
    pub plain: bool,
}

/// The channel that a heading names, or `None`.
pub(crate) fn named(heading: &str) -> Option<Named> {
    let words = split(heading);
    let whole = take_apart(&words);
    // Beside words that name a channel, n and m are what is left of a unit: `Torque (daN.m)`.
    let bare: Vec<String> = words.into_iter().filter(|w| !matches!(&**w, "n" | "m")).collect();
    let (name, rule) = [take_apart(&bare), whole.clone()].into_iter().find_map(|name| {
        longest(&name).map(|rule| (Name { unknown: whole.unknown, ..name }, rule))
    })?;
    let channel = of_cylinder((rule.make)(&name), heading);
    let letter = name.words.contains(&"letter") && name.known == 1;
    Some(Named { channel, plain: name.unknown == 0 && !letter })
}

/// The rule that most words of a name fit.
fn longest(name: &Name) -> Option<&'static Rule> {
    let fits = |r: &&Rule| {
        r.all.iter().all(|w| name.words.contains(w))
            && !r.none.iter().any(|w| name.words.contains(w))
    };
    let longest = RULES.iter().filter(fits).map(|r| r.all.len()).max()?;
    RULES.iter().filter(fits).find(|r| r.all.len() == longest)
}

/// A numbered mixture is a cylinder's when the heading says so, else a bank's.
fn of_cylinder(channel: Channel, heading: &str) -> Channel {
    let heading = heading.to_lowercase();
    match channel {
        Channel::Lambda(n) if n > 0 && (heading.contains("cyl") || heading.contains("zyl")) => {
            Channel::CylinderLambda(n)
        }
        other => other,
    }
}

fn take_apart(words: &[String]) -> Name {
    let mut name = Name::default();
    for word in words {
        if let Some((_, plain)) = known(word) {
            name.words.extend(*plain);
            name.known += 1;
        } else if let Ok(number) = word.parse::<u32>() {
            name.number = u8::try_from(number).ok().filter(|n| *n <= 24).unwrap_or(0);
        } else if let Some(split) = joined(word) {
            name.words.extend(split);
            name.known += 2;
        } else {
            name.unknown += 1;
        }
    }
    if name.number == 0 {
        name.number = side(&name.words);
    }
    name
}

fn side(words: &[&str]) -> u8 {
    match (words.contains(&"left"), words.contains(&"right")) {
        (true, false) => 1,
        (false, true) => 2,
        _ => 0,
    }
}

fn known(word: &str) -> Option<&'static (&'static str, &'static [&'static str])> {
    SPELLINGS.iter().find(|(spellings, _)| spellings.split(' ').any(|s| s == word))
}

/// A letter of a formula before a word (`twater`, `poil`, `mfuel`).
const FORMULA: [(char, &str); 4] =
    [('t', "temperature"), ('p', "pressure"), ('m', "flow"), ('n', "turns")];

/// Two known words written as one (`oldruck`, `wassertemp`), or a letter of a formula before one.
fn joined(word: &str) -> Option<Vec<&'static str>> {
    let letter = FORMULA.iter().find(|(letter, _)| word.starts_with(*letter));
    if let Some((letter, first)) = letter
        && let Some((_, second)) = known(&word[letter.len_utf8()..])
    {
        return Some([&[*first][..], second].concat());
    }
    let cuts = word.char_indices().map(|(i, _)| i).filter(|&i| i >= 2 && word.len() - i >= 3);
    for cut in cuts {
        if let (Some((_, a)), Some((_, b))) = (known(&word[..cut]), known(&word[cut..])) {
            return Some([*a, *b].concat());
        }
    }
    None
}

/// Lower case, no accents, parted at signs, between small and capital letters, and between
/// letters and digits, except in words that have a digit (`o2`).
fn split(heading: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut last = ' ';
    for c in heading.chars().map(bare) {
        let new = last.is_lowercase() && c.is_uppercase()
            || last.is_ascii_digit() != c.is_ascii_digit() && last.is_alphanumeric();
        if c.is_alphanumeric() {
            if new || !last.is_alphanumeric() {
                words.push(String::new());
            }
            if let Some(word) = words.last_mut() {
                word.extend(c.to_lowercase());
            }
        }
        last = c;
    }
    with_digits(words)
}

/// `o`, `2` back to `o2`, `a`, `f` to `af`, `r`, `h` to `rh`.
fn with_digits(words: Vec<String>) -> Vec<String> {
    let mut out: Vec<String> = Vec::with_capacity(words.len());
    for word in words {
        match out.last_mut() {
            Some(before) if before == "o" && word == "2" => before.push('2'),
            Some(before) if before == "a" && word == "f" => before.push('f'),
            Some(before) if before == "r" && word == "h" => before.push('h'),
            _ => out.push(word),
        }
    }
    out
}

fn bare(c: char) -> char {
    match c {
        'ä' | 'à' | 'â' | 'á' => 'a',
        'ö' | 'ô' | 'ò' | 'ó' => 'o',
        'ü' | 'û' | 'ù' | 'ú' => 'u',
        'é' | 'è' | 'ê' | 'ë' => 'e',
        'î' | 'ï' | 'ì' | 'í' => 'i',
        'Ä' => 'A',
        'Ö' => 'O',
        'Ü' => 'U',
        'É' => 'E',
        'λ' | 'Λ' => 'λ',
        'ç' => 'c',
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(heading: &str, expected: Channel) {
        let found = named(heading).map(|n| n.channel);
        assert_eq!(found, Some(expected), "{heading}");
    }

    /// Headings as operators write them; common practice, no source.
    #[test]
    fn headings_of_the_trade_are_understood() {
        check("RPM", Channel::EngineSpeed);
        check("Engine Speed", Channel::EngineSpeed);
        check("Drehzahl", Channel::EngineSpeed);
        check("n_mot", Channel::EngineSpeed);
        check("EngineRPM", Channel::EngineSpeed);
        check("régime moteur", Channel::EngineSpeed);
        check("Torque", Channel::Torque);
        check("Tq_obs", Channel::Torque);
        check("Drehmoment", Channel::Torque);
        check("Corr. Torque", Channel::CorrectedTorque);
        check("SAE Power", Channel::CorrectedPower);
        check("Leistung korr.", Channel::CorrectedPower);
        check("CF", Channel::CorrectionFactor);
        check("Oil Press", Channel::OilPressure);
        check("OilP", Channel::OilPressure);
        check("Öldruck", Channel::OilPressure);
        check("P_Oil", Channel::OilPressure);
        check("Öltemperatur", Channel::OilTemperature);
        check("Wassertemp", Channel::CoolantTemperature);
        check("Water In Temp", Channel::CoolantInTemperature);
        check("ECT", Channel::CoolantTemperature);
        check("IAT", Channel::IntakeAirTemperature);
        check("Air Temp", Channel::IntakeAirTemperature);
        check("Cell temp", Channel::CellAirTemperature);
        check("MAP", Channel::ManifoldPressure);
        check("Baro", Channel::Barometer);
        check("Rel. Hum.", Channel::RelativeHumidity);
        check("AFR 1", Channel::Lambda(1));
        check("Lambda Bank 2", Channel::Lambda(2));
        check("O2 left", Channel::Lambda(1));
        check("Lambda Cyl 3", Channel::CylinderLambda(3));
        check("λ 2", Channel::Lambda(2));
        check("Exh press", Channel::ExhaustPressure);
        check("EGT4", Channel::ExhaustTemperature(4));
        check("Exhaust Temp 12", Channel::ExhaustTemperature(12));
        check("Fuel Flow", Channel::FuelFlow);
        check("Fuel Press", Channel::FuelPressure);
        check("Ign Adv", Channel::SparkAdvance);
        check("Throttle Pos", Channel::Throttle);
        check("Roller speed", Channel::RollerSpeed);
        check("Wheel Power", Channel::WheelPower);
        check("Batt V", Channel::Battery);
        check("Inj PW", Channel::InjectorPulse);
        check("Air/Fuel Ratio", Channel::Lambda(0));
        check("Klopfen 3", Channel::Knock(3));
        check("twater", Channel::CoolantTemperature);
        check("tair", Channel::IntakeAirTemperature);
        check("mfuel", Channel::FuelFlow);
        check("Ansaugluft", Channel::IntakeAirTemperature);
        check("Left A/F Ratio", Channel::Lambda(1));
        check("Time", Channel::Time);
        check("A/F", Channel::Lambda(0));
        check("Torque (daN.m)", Channel::Torque);
        check("n mot", Channel::EngineSpeed);
        check("M", Channel::Torque);
        check("rH", Channel::RelativeHumidity);
        check("pBaro", Channel::Barometer);
        check("Kühlwasser", Channel::CoolantTemperature);
        check("T eau", Channel::CoolantTemperature);
        check("P atmo", Channel::Barometer);
        check("Zündwinkel", Channel::SparkAdvance);
        check("回転数", Channel::EngineSpeed);
        check("軸トルク", Channel::Torque);
        check("油圧", Channel::OilPressure);
        check("Vridmoment", Channel::Torque);
        check("Régimen", Channel::EngineSpeed);
    }

    #[test]
    fn a_name_of_nothing_names_nothing() {
        for heading in ["Aux 3", "", "xyz", "§§", "Chan 12"] {
            assert_eq!(named(heading), None, "{heading}");
        }
    }
}
