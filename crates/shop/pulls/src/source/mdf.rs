//! ASAM MDF 4 to a log. The only place that names the library behind it: another one is put in its
//! place by rewriting this file.

use super::clock::{DAY, iso};
use super::heading::Names;
use super::report::Report;
use crate::error::PullsError;
use crate::log::{Column, Form, Group, Log, Words};
use falcon_mdf::{Channel, ChannelGroup, Mf4Error, Mf4File, OpenOptions, SignalValues};
use std::collections::HashMap;

/// The first bytes of a finished file and of one whose recording was broken off (ASAM MDF 4,
/// identification block).
const SIGNATURES: [&[u8]; 2] = [b"MDF     ", b"UnFinMF "];
/// Most bytes that one byte of deflate expands to (RFC 1951 allows 258 bytes in two bits).
const EXPANSION: u64 = 1032;
/// Most samples a byte of the file stands for, and how many there may be in any file.
const SAMPLES: (u64, u64) = (256, 1 << 20);
/// Where the header block begins, and the length of what stands before its links.
const HEADER: (usize, usize) = (64, 24);

/// True where the bytes begin as a measurement file does.
pub fn is_one(bytes: &[u8]) -> bool {
    SIGNATURES.iter().any(|signature| bytes.starts_with(signature))
}

/// Reads a measurement file. Channels that cannot be read are left out with a warning.
///
/// # Errors
/// Where the file cannot be opened, or no channel of it can be read.
pub fn read(bytes: &[u8]) -> Result<Log, PullsError> {
    let most = EXPANSION * bytes.len() as u64;
    let options =
        OpenOptions { max_alloc: most as usize, max_decompressed: most, ..OpenOptions::default() };
    let file = Mf4File::from_bytes_with_options(bytes.to_vec(), options)
        .map_err(|error| PullsError::Measurement { reason: said(&error) })?;
    let mut reading =
        Reading { file: &file, size: bytes.len() as u64, report: Report::default(), lost: None };
    if file.unfinalized().is_some() {
        let text = "the recording was broken off; what was written until then is read";
        reading.report.warn("files", None, None, text);
    }
    file.comment().lines().for_each(|line| reading.report.remark(line));
    let groups = reading.groups();
    if groups.is_empty() {
        let reason = reading.lost.unwrap_or_else(|| "it has no samples".to_string());
        return Err(PullsError::NoSamples { channels: file.channel_count(), reason });
    }
    let (remarks, warnings) = reading.report.finish();
    let form = Form::Measurement(file.version().to_string());
    Ok(Log { groups, remarks, warnings, form, started: started(&file, bytes), hash: String::new() })
}

/// What the library says, on one line.
fn said(error: &Mf4Error) -> String {
    error.to_string().split_whitespace().collect::<Vec<_>>().join(" ")
}

struct Reading<'a> {
    file: &'a Mf4File,
    /// Bytes of the file.
    size: u64,
    report: Report,
    /// Why the first channel that was lost could not be read.
    lost: Option<String>,
}

impl Reading<'_> {
    fn groups(&mut self) -> Vec<Group> {
        let mut groups = Vec::new();
        for data in self.file.data_groups() {
            let expanded = data.block_index().total_size();
            if expanded > EXPANSION * self.size {
                self.lose_group(&data.comment, &format!("it says it holds {expanded} bytes"));
                continue;
            }
            for group in data.channel_groups.iter().filter(|group| !group.is_vlsd()) {
                groups.extend(self.group(group));
            }
        }
        groups
    }

    fn group(&mut self, group: &ChannelGroup) -> Option<Group> {
        let name = group.acquisition_name.clone();
        let record = group.data_bytes_len() as u64;
        let samples = group.sample_count.saturating_mul(group.channels.len() as u64);
        let (a_byte, always) = SAMPLES;
        if samples == 0 {
            self.lose_group(&name, "it has no samples");
            return None;
        }
        if group.is_bus_event() {
            self.lose_group(&name, "it holds messages of a bus, not values");
            return None;
        }
        if samples > a_byte * self.size + always {
            self.lose_group(&name, &format!("it says it holds {samples} samples"));
            return None;
        }
        let rows = group.sample_count as usize;
        let mut found = Group { name, ..Group::default() };
        for channel in &group.channels {
            let read = match fits(channel, record) {
                true => self.channel(channel, rows),
                false => Err("it lies outside its record".to_string()),
            };
            match read {
                Ok(Samples::Numbers(column)) => found.columns.push(column),
                Ok(Samples::Words(words)) => found.words.push(words),
                Err(reason) => self.lose_channel(channel, reason),
            }
        }
        let mut names = Names::of(found.columns.iter().map(|column| column.name.as_str()));
        for column in &mut found.columns {
            if let Some(name) = names.another(&column.name) {
                column.name = name;
            }
        }
        (!found.columns.is_empty()).then_some(found)
    }

    fn channel(&mut self, channel: &Channel, rows: usize) -> Result<Samples, String> {
        if channel.is_array() {
            return Err("it holds an array in every sample".to_string());
        }
        let signal = self.file.signal(channel).map_err(|error| said(&error))?;
        let values = signal.values().map_err(|error| said(&error))?;
        let valid = signal.validity();
        let is_valid = |row: usize| {
            valid.as_ref().is_none_or(|valid| valid.get(row).copied().unwrap_or(false))
        };
        if values.len() != rows {
            let text = format!("{} samples for {rows} rows; the others are missing", values.len());
            self.report.warn("channels of another length", None, Some(&channel.name), text);
        }
        match values {
            SignalValues::Str(labels) => {
                Ok(Samples::Words(words(channel, &labels, rows, is_valid)))
            }
            values if values.kind().is_numeric() => {
                let mut numbers = values.to_f64();
                numbers.resize(rows, f64::NAN);
                for (row, number) in numbers.iter_mut().enumerate() {
                    if !is_valid(row) {
                        *number = f64::NAN;
                    }
                }
                Ok(Samples::Numbers(Column {
                    name: channel.name.clone(),
                    unit: unit(channel),
                    values: numbers,
                }))
            }
            values => Err(format!("its samples are {}, not numbers", values.kind().name())),
        }
    }

    fn lose_group(&mut self, name: &str, reason: &str) {
        let text = format!("group \"{name}\" is left out: {reason}");
        self.report.warn("groups", None, None, text);
        self.lost.get_or_insert_with(|| reason.to_string());
    }

    fn lose_channel(&mut self, channel: &Channel, reason: String) {
        let text = format!("is left out: {reason}");
        self.report.warn("channels that could not be read", None, Some(&channel.name), text);
        self.lost.get_or_insert(reason);
    }
}

/// True where the channel's bits lie within a record of so many bytes.
fn fits(channel: &Channel, record: u64) -> bool {
    let bits = u64::from(channel.bit_offset) + u64::from(channel.bit_count);
    let end = u64::from(channel.byte_offset) + bits.div_ceil(8);
    channel.channel_type.is_virtual() || channel.bit_offset < 8 && end <= record
}

/// What a channel holds.
enum Samples {
    Numbers(Column),
    Words(Words),
}

/// The unit as written; a clock without one is in seconds (ASAM MDF 4, synchronisation type 1).
fn unit(channel: &Channel) -> String {
    if channel.unit.is_empty() && channel.is_time_channel() {
        return "s".to_string();
    }
    channel.unit.clone()
}

fn words(
    channel: &Channel,
    cells: &[String],
    rows: usize,
    is_valid: impl Fn(usize) -> bool,
) -> Words {
    let mut words = Words { name: channel.name.clone(), ..Words::default() };
    let mut places: HashMap<&str, u32> = HashMap::new();
    for row in 0..rows {
        let cell =
            cells.get(row).map(|cell| cell.trim()).filter(|cell| !cell.is_empty() && is_valid(row));
        words.rows.push(cell.map(|cell| {
            *places.entry(cell).or_insert_with(|| {
                words.labels.push(cell.to_string());
                words.labels.len() as u32 - 1
            })
        }));
    }
    words
}

/// Start of the recording as ISO 8601; `None` where the file says nothing. Flags of the header
/// block: bit 0 for local time without offset, bit 1 for valid offsets.
fn started(file: &Mf4File, bytes: &[u8]) -> Option<String> {
    let time = file.start_time();
    if time.timestamp_ns <= 0 {
        return None;
    }
    let (header, links) = HEADER;
    let count = bytes.get(header + 16..header + links)?.first_chunk::<8>()?;
    let data = header + links + 8 * usize::try_from(u64::from_le_bytes(*count)).ok()?.min(1 << 16);
    let flags = bytes.get(data + 12).copied().unwrap_or(0);
    let minutes = i64::from(time.tz_offset_min) + i64::from(time.dst_offset_min);
    let (minutes, offset) = match flags & 3 {
        1 | 3 => (0, String::new()),
        2 if minutes != 0 => {
            let sign = if minutes < 0 { '-' } else { '+' };
            (minutes, format!("{sign}{:02}:{:02}", minutes.abs() / 60, minutes.abs() % 60))
        }
        _ => (0, "Z".to_string()),
    };
    let seconds = time.timestamp_ns / 1_000_000_000 + 60 * minutes;
    let fraction = (time.timestamp_ns % 1_000_000_000) as f64 * 1e-9;
    let day = seconds.div_euclid(DAY as i64);
    Some(iso(day, seconds.rem_euclid(DAY as i64) as f64 + fraction, &offset))
}
