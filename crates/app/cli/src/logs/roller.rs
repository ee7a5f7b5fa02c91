//! A day on a roller: power at the wheels, the losses of its coast-down, engine speed where a log has
//! none, and what the crankshaft may have given.

use super::engine_file::EngineFile;
use super::{DayPull, Logged, Opened, with_pulls};
use shortblock_compare::DynoKind;
use shortblock_pulls::chassis::{
    CrankEstimate, Figure, Loss, Losses, Motion, Roller, Turning, WheelCurve, WheelPower,
    add_engine_speed, crank_estimate, drive, fit_losses, wheel_curve,
};
use shortblock_pulls::sweep::{Kind, Stretch};
use shortblock_pulls::{Channel, Pull, PullsError, Recording, Treatment};
use shortblock_session::Session;
use shortblock_units::Measure;

/// Rate of the roller is taken over this time, s: 0.3 % of scatter at 20 readings a second.
const WINDOW: f64 = 0.5;
/// ± of a stated loss without one, as a share of it; and of a stated inertia: assumed, no source.
const OF_LOSS: f64 = 0.3;
const OF_INERTIA: f64 = 0.2;
/// Inertia of an engine with flywheel and clutch for each m³ it displaces, kg·m², and its ± as a
/// share: common practice, no source.
const INERTIA_PER_VOLUME: f64 = 100.0;
const OF_ASSUMED_INERTIA: f64 = 0.5;
/// Two driven wheels with tyres and shafts, as if at the surface of the roller, kg, and its ±: wheels
/// of 17 to 25 kg whose radius of gyration is 0.8 of the tyre's (common practice, no source).
const WHEELS: (f64, f64) = (28.0, 12.0);

/// What turns a log into power at the wheels.
pub struct RollerDay {
    roller: Roller,
    arm: Option<f64>,
    turning: Turning,
    loss: Option<Loss>,
    /// What was done and what is not in the figure, a sentence each.
    pub notes: Vec<String>,
}

/// What of the car is accelerated beside the roller.
pub struct Car {
    /// Engine with what turns with it, kg·m².
    engine: Option<Figure>,
    /// Driven wheels, kg at the surface of the roller.
    wheels: Figure,
}

impl Car {
    /// As the session file says; else assumed, the engine by its size where that is known.
    pub fn of(session: &Session, engine: Option<&EngineFile>) -> Self {
        let stated = |said: &Measure| Figure {
            value: said.si,
            plus_minus: said.plus_minus.unwrap_or(OF_INERTIA * said.si),
            stated: true,
        };
        let assumed = |engine: &EngineFile| {
            let value = INERTIA_PER_VOLUME * engine.geometry?.displacement;
            Some(Figure { value, plus_minus: OF_ASSUMED_INERTIA * value, stated: false })
        };
        let (value, plus_minus) = WHEELS;
        let wheels = session.wheels_mass.as_ref().map(stated);
        Self {
            engine: session
                .engine_inertia
                .as_ref()
                .map(stated)
                .or_else(|| engine.and_then(assumed)),
            wheels: wheels.unwrap_or(Figure { value, plus_minus, stated: false }),
        }
    }

    /// The same at the shaft of a roller.
    fn at(&self, roller: &Roller) -> Turning {
        let square = roller.radius() * roller.radius();
        let Figure { value, plus_minus, stated } = self.wheels;
        let wheels = Figure { value: value * square, plus_minus: plus_minus * square, stated };
        Turning { engine: self.engine, wheels }
    }

    fn wheels_in_words(&self) -> String {
        let Figure { value, plus_minus, stated } = self.wheels;
        let origin = if stated { "stated" } else { "assumed" };
        format!("the driven wheels count as {value:.0} ±{plus_minus:.0} kg there ({origin})")
    }
}

/// A log as the session file speaks of it.
pub struct Spoken {
    /// Gear that was engaged.
    pub gear: Option<String>,
    /// Turns of the engine in one of the roller, as stated.
    pub ratio: Option<f64>,
}

/// The roller of a day; `None` on an engine dyno. Logs that have no engine speed get it by the ratio
/// of the others in the same gear. `spoken` is one for each file.
///
/// # Errors
/// What is missing from the dyno's record.
pub fn prepare(
    session: &Session,
    car: Car,
    files: &mut [Logged],
    spoken: &[Spoken],
    treatment: &Treatment,
) -> Option<Result<RollerDay, String>> {
    let dyno = session.dyno.as_ref().filter(|dyno| dyno.kind == DynoKind::Roller)?;
    let roller = match of_record(dyno) {
        Ok(roller) => roller,
        Err(why) => return Some(Err(why)),
    };
    let mass = roller.equivalent_mass();
    let mut notes =
        vec![format!("Power at the wheels: speed of the roller, {mass:.0} kg at its surface.")];
    let load = files.iter().any(|f| f.read().is_some_and(|o| has(o, Channel::BrakeLoad)));
    let absorber = dyno.absorber.as_deref().filter(|word| !word.contains("inertia"));
    match (absorber, load, &dyno.roller.arm) {
        (Some(word), false, _) => {
            notes.push(format!("What the {word} took is in no log and not in the figure."));
        }
        (_, true, Some(_)) => notes.push("The absorber's torque is added.".to_owned()),
        _ => {}
    }
    notes.extend(fill_speeds(files, spoken, &roller, treatment));
    let (loss, of_loss) = losses(files, &roller, &car, dyno.roller.loss.as_ref());
    notes.push(of_loss);
    Some(Ok(RollerDay {
        turning: car.at(&roller),
        roller,
        arm: dyno.roller.arm.as_ref().map(|arm| arm.si),
        loss,
        notes,
    }))
}

fn has(opened: &Opened, channel: Channel) -> bool {
    opened.recognition.recording.get(channel).is_some()
}

/// A mass at the surface needs no radius: power is mass times acceleration times speed.
fn of_record(dyno: &shortblock_session::Dyno) -> Result<Roller, String> {
    let radius = dyno.roller.radius.as_ref().map(|radius| radius.si);
    let made = match (&dyno.roller.mass, &dyno.inertia, radius) {
        (Some(mass), _, radius) => Roller::from_equivalent_mass(mass.si, radius.unwrap_or(1.0)),
        (None, Some(inertia), Some(radius)) => Roller::new(inertia.si, radius),
        _ => {
            return Err(
                "no power at the wheels: write  mass  under [roller] of the dyno's record, \
                        or its inertia and  radius"
                    .to_owned(),
            );
        }
    };
    made.map_err(|error| error.to_string())
}

/// Adds engine speed to logs without one; what was done as sentences.
fn fill_speeds(
    files: &mut [Logged],
    spoken: &[Spoken],
    roller: &Roller,
    treatment: &Treatment,
) -> Vec<String> {
    let known: Vec<Option<(f64, f64)>> =
        files.iter().map(|file| ratio_of(file.read()?, roller)).collect();
    let mut notes = Vec::new();
    for (file, said) in files.iter_mut().zip(spoken) {
        let Logged::Read(log) = file else { continue };
        if has(log, Channel::EngineSpeed) || !has(log, Channel::RollerSpeed) {
            continue;
        }
        let same_gear = spoken.iter().zip(&known).filter(|(other, _)| other.gear == said.gear);
        // The log whose ratio drifts least.
        let learned = same_gear
            .filter_map(|(_, known)| *known)
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(ratio, _)| ratio);
        let Some(ratio) = said.ratio.or(learned) else { continue };
        let recording = &mut log.recognition.recording;
        if add_engine_speed(recording, roller, ratio).is_err() {
            continue;
        }
        with_pulls(log, treatment);
        let from = match said.ratio {
            Some(_) => "by the ratio the session file states".to_owned(),
            None => format!("by the ratio of the other logs{}", in_gear(said)),
        };
        notes.push(format!("Engine speed of {} is worked out {from}; slip is in it.", log.name));
    }
    notes
}

fn in_gear(spoken: &Spoken) -> String {
    spoken.gear.as_ref().map_or(String::new(), |gear| format!(" in gear {gear}"))
}

/// Ratio of engine to roller speed in the sweeps of a log that has both, and how far it drifts.
fn ratio_of(log: &Opened, roller: &Roller) -> Option<(f64, f64)> {
    let recording = &log.recognition.recording;
    let pulls = log.pulls.iter().filter_map(|pull| pull.as_ref().ok());
    let drives = pulls.filter_map(|pull| {
        let rows = pull.stretch.rows.clone();
        let surface = recording.get(Channel::RollerSpeed)?.get(rows.clone())?;
        let turning: Vec<f64> = surface.iter().map(|v| v / roller.radius()).collect();
        let engine = recording.get(Channel::EngineSpeed)?.get(rows.clone())?;
        let drive = drive(recording.time.get(rows)?, engine, &turning)?;
        Some((drive.ratio, drive.drift.abs()))
    });
    drives.min_by(|a, b| a.1.total_cmp(&b.1))
}

/// Losses by the widest coast-down of the day, else as the record states them.
fn losses(
    files: &[Logged],
    roller: &Roller,
    car: &Car,
    stated: Option<&Measure>,
) -> (Option<Loss>, String) {
    let inertia = roller.inertia() + car.at(roller).wheels.value;
    let logs = files.iter().filter_map(Logged::read);
    let all = logs.flat_map(|log| {
        coast_downs(log).filter_map(|s| Some((fitted(log, s, roller, inertia)?, log.name.clone())))
    });
    let width = |losses: &Losses| losses.range.1 - losses.range.0;
    let widest = all.max_by(|a, b| width(&a.0).total_cmp(&width(&b.0)));
    if let Some((losses, name)) = widest {
        let km_h = |w: f64| 3.6 * w * roller.radius();
        let (low, high) = (km_h(losses.range.0), km_h(losses.range.1));
        let words = format!(
            "Losses by the coast-down of {name}, {high:.0} to {low:.0} km/h; {}.",
            car.wheels_in_words()
        );
        return (Some(Loss::CoastDown(losses)), words);
    }
    match stated {
        Some(loss) => {
            let plus_minus = loss.plus_minus.unwrap_or(OF_LOSS * loss.si);
            let words = match loss.plus_minus {
                Some(_) => format!("No coast-down; losses of {} as stated.", loss.text),
                None => format!(
                    "No coast-down; losses of {} as stated, ± taken as {:.0} % of them (assumed).",
                    loss.text,
                    100.0 * OF_LOSS
                ),
            };
            (Some(Loss::Stated { share: loss.si, plus_minus }), words)
        }
        None => {
            (None, "No coast-down and no loss stated: nothing is said of the crank.".to_owned())
        }
    }
}

/// Falls of the roller with nothing driving it.
pub fn coast_downs(log: &Opened) -> impl Iterator<Item = &Stretch> {
    let found = log.found.iter().flat_map(|found| &found.stretches);
    found.filter(|stretch| stretch.of_roller && stretch.kind == Kind::CoastDown)
}

fn fitted(log: &Opened, stretch: &Stretch, roller: &Roller, inertia: f64) -> Option<Losses> {
    let recording = &log.recognition.recording;
    let surface = recording.get(Channel::RollerSpeed)?.get(stretch.rows.clone())?;
    let turning: Vec<f64> = surface.iter().map(|v| v / roller.radius()).collect();
    fit_losses(recording.time.get(stretch.rows.clone())?, &turning, inertia).ok()
}

impl RollerDay {
    /// Power at the wheels of a pull, as read.
    ///
    /// # Errors
    /// What the log lacks.
    pub fn wheel(&self, recording: &Recording, pull: &Pull) -> Result<WheelCurve, PullsError> {
        let absorber = match (recording.get(Channel::BrakeLoad), self.arm) {
            (Some(load), Some(arm)) => Some(load.iter().map(|f| f * arm).collect::<Vec<_>>()),
            (Some(_), None) => {
                let remedy = "write  arm  under [roller] of the dyno's record: the brake load alone \
                              is no torque";
                return Err(PullsError::NoChannel { channel: Channel::WheelTorque, remedy });
            }
            (None, _) => None,
        };
        wheel_curve(recording, pull, &self.roller, absorber.as_deref(), WINDOW)
    }

    /// What the crankshaft may have given where power at the wheels, as read (W), stood at an engine
    /// speed (rad/s), corrected by the factor of the pull; `None` where nothing is known of losses.
    ///
    /// # Errors
    /// A stated loss that can't be.
    pub fn crank(
        &self,
        pull: &Pull,
        wheel: WheelPower,
        speed: f64,
        air: &DayPull,
    ) -> Option<Result<CrankEstimate, PullsError>> {
        let loss = self.loss.as_ref()?;
        let away = |i: &usize| (pull.speeds[*i] - speed).abs();
        let point = (0..pull.speeds.len()).min_by(|a, b| away(a).total_cmp(&away(b)))?;
        let rate = *pull.acceleration.get(point)?;
        let surface = *pull.points(Channel::RollerSpeed)?.mean.get(point)?;
        let roller = surface / self.roller.radius();
        let (engine, roller) = (
            Motion { speed, rate },
            // The roller turns with the engine: where the tyres creep, nearly so.
            Motion { speed: roller, rate: rate * roller / speed },
        );
        let factor = air.air.as_ref().map_or(1.0, |air| air.factor());
        let found = crank_estimate(wheel, roller, engine, loss, &self.turning);
        Some(found.map(|estimate| estimate.corrected(factor)))
    }
}
