//! A plain writer of ASAM MDF 4.10: groups of columns that each have a clock of their own.
//!
//! Blocks ID, HD, FH, DG, CG, CN, CC, TX, MD and DT in their little-endian layout of the open
//! standard; nothing is packed, records are sorted, one group a table. Layout from memory; what
//! comes out was read back with asammdf 8.8.28 and falcon_mdf 0.7.2, which agree on every sum.

/// Columns that are sampled together; the first is time in s.
pub(crate) struct Table {
    pub name: &'static str,
    pub channels: Vec<Channel>,
}

/// One column.
pub(crate) struct Channel {
    pub name: String,
    pub unit: &'static str,
    pub kind: Kind,
    pub values: Vec<f64>,
}

/// How a column is kept.
#[derive(Clone, Copy)]
pub(crate) enum Kind {
    /// 64 bits.
    Float64,
    /// 32 bits.
    Float32,
    /// 16 bits without sign, times a step; the file says so with a linear conversion.
    Counts(f64),
}

impl Kind {
    fn bytes(self) -> u32 {
        match self {
            Self::Float64 => 8,
            Self::Float32 => 4,
            Self::Counts(_) => 2,
        }
    }

    fn put(self, value: f64, record: &mut Vec<u8>) {
        match self {
            Self::Float64 => record.extend(value.to_le_bytes()),
            Self::Float32 => record.extend((value as f32).to_le_bytes()),
            Self::Counts(step) => {
                record.extend(((value / step + 0.5).clamp(0.0, 65_535.0) as u16).to_le_bytes());
            }
        }
    }
}

/// Where a block begins in the file; 0 is "no block".
type Link = u64;

struct Writer(Vec<u8>);

/// The bytes of a file that began so many nanoseconds after 1970 by the local clock.
pub(crate) fn write(tables: &[Table], started_ns: u64, remark: &str) -> Vec<u8> {
    let mut writer = Writer(identification());
    let head = writer.block(b"##HD", &[0; 6], &head_data(started_ns));
    let mut next = 0;
    for table in tables.iter().rev() {
        next = writer.table(table, next);
    }
    let history = writer.history(started_ns);
    let remark = writer.text(remark);
    for (place, link) in [(0, next), (1, history), (5, remark)] {
        let at = head as usize + 24 + 8 * place;
        writer.0[at..at + 8].copy_from_slice(&link.to_le_bytes());
    }
    writer.0
}

impl Writer {
    /// Appends a block and says where it begins.
    fn block(&mut self, id: &[u8; 4], links: &[Link], data: &[u8]) -> Link {
        while !self.0.len().is_multiple_of(8) {
            self.0.push(0);
        }
        let start = self.0.len() as u64;
        let length = 24 + 8 * links.len() as u64 + data.len() as u64;
        self.0.extend(id);
        self.0.extend([0; 4]);
        self.0.extend(length.to_le_bytes());
        self.0.extend((links.len() as u64).to_le_bytes());
        self.0.extend(links.iter().flat_map(|link| link.to_le_bytes()));
        self.0.extend(data);
        start
    }

    fn words(&mut self, id: &[u8; 4], text: &str) -> Link {
        let mut data = text.as_bytes().to_vec();
        data.push(0);
        data.resize(data.len().next_multiple_of(8), 0);
        self.block(id, &[], &data)
    }

    fn text(&mut self, text: &str) -> Link {
        if text.is_empty() { 0 } else { self.words(b"##TX", text) }
    }

    fn history(&mut self, started_ns: u64) -> Link {
        let comment = "<FHcomment xmlns=\"http://www.asam.net/mdf/v4\"><TX>written</TX>\
                       <tool_id>shortblock-demo</tool_id><tool_vendor>none</tool_vendor>\
                       <tool_version>1</tool_version></FHcomment>";
        let comment = self.words(b"##MD", comment);
        let mut data = started_ns.to_le_bytes().to_vec();
        data.resize(16, 0);
        data[12] = LOCAL_TIME;
        self.block(b"##FH", &[0, comment], &data)
    }

    fn table(&mut self, table: &Table, next: Link) -> Link {
        let rows = table.channels.first().map_or(0, |channel| channel.values.len());
        let mut records = Vec::new();
        for row in 0..rows {
            for channel in &table.channels {
                channel.kind.put(channel.values[row], &mut records);
            }
        }
        let data = self.block(b"##DT", &[], &records);
        let mut offsets = vec![0];
        for channel in &table.channels {
            offsets.push(offsets[offsets.len() - 1] + channel.kind.bytes());
        }
        let mut first = 0;
        for (i, channel) in table.channels.iter().enumerate().rev() {
            first = self.channel(channel, i == 0, offsets[i], first);
        }
        let name = self.text(table.name);
        let mut group = [0_u64, rows as u64, 0].map(u64::to_le_bytes).concat();
        group.extend([offsets[table.channels.len()], 0].map(u32::to_le_bytes).concat());
        let group = self.block(b"##CG", &[0, first, name, 0, 0, 0], &group);
        self.block(b"##DG", &[next, group, data, 0], &[0; 8])
    }

    fn channel(&mut self, channel: &Channel, clock: bool, offset: u32, next: Link) -> Link {
        let name = self.text(&channel.name);
        let unit = self.text(channel.unit);
        let conversion = match channel.kind {
            Kind::Counts(step) => self.linear(step),
            Kind::Float64 | Kind::Float32 => 0,
        };
        // Master or value, time or nothing, float or whole number without sign, first bit.
        let counts = matches!(channel.kind, Kind::Counts(_));
        let mut data =
            vec![if clock { 2 } else { 0 }, u8::from(clock), if counts { 0 } else { 4 }, 0];
        data.extend([offset, 8 * channel.kind.bytes(), 0, 0].map(u32::to_le_bytes).concat());
        data.resize(72, 0);
        self.block(b"##CN", &[next, 0, name, 0, conversion, 0, unit, 0], &data)
    }

    /// Zero plus `step` times the count.
    fn linear(&mut self, step: f64) -> Link {
        let mut data = vec![1, 0];
        data.extend([0_u16, 0, 2].map(u16::to_le_bytes).concat());
        data.extend([0.0, 0.0, 0.0, step].map(f64::to_le_bytes).concat());
        self.block(b"##CC", &[0; 4], &data)
    }
}

/// The clock's flag for "local time".
const LOCAL_TIME: u8 = 1;

fn identification() -> Vec<u8> {
    let mut id = b"MDF     4.10    shblock ".to_vec();
    id.extend([0; 4]);
    id.extend(410_u16.to_le_bytes());
    id.resize(64, 0);
    id
}

fn head_data(started_ns: u64) -> Vec<u8> {
    let mut data = started_ns.to_le_bytes().to_vec();
    data.resize(32, 0);
    data[12] = LOCAL_TIME;
    data
}
