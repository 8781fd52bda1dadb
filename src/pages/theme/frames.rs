//! Messages between this program and the child that renders a theme: a kind, a length, the bytes.

use std::io::{self, Read, Write};

/// What a message is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub(super) enum Kind {
    /// To the child: a theme's name and its own templates, as JSON.
    Theme = b'T',
    /// From it: the templates are parsed.
    Ready = b'R',
    /// To it: a page's template and what it shows, as JSON.
    Job = b'J',
    /// From it: the page.
    Page = b'P',
    /// From it: a fault of the theme, as JSON.
    Fault = b'F',
}

/// A message.
pub(super) type Message = (Kind, Vec<u8>);

/// Longer messages are refused.
const LONGEST: u64 = 512 << 20;

pub(super) fn send(to: &mut impl Write, kind: Kind, bytes: &[u8]) -> io::Result<()> {
    to.write_all(&[kind as u8])?;
    to.write_all(&(bytes.len() as u64).to_le_bytes())?;
    to.write_all(bytes)?;
    to.flush()
}

/// The next message; `None` at the end.
pub(super) fn receive(from: &mut impl Read) -> io::Result<Option<Message>> {
    let mut kind = [0];
    if from.read(&mut kind)? == 0 {
        return Ok(None);
    }
    let all = [Kind::Theme, Kind::Ready, Kind::Job, Kind::Page, Kind::Fault];
    let kind = all.into_iter().find(|known| *known as u8 == kind[0]).ok_or(io::ErrorKind::InvalidData)?;
    let mut length = [0; 8];
    from.read_exact(&mut length)?;
    let length = u64::from_le_bytes(length);
    if length > LONGEST {
        return Err(io::ErrorKind::InvalidData.into());
    }
    let mut bytes = Vec::new();
    from.take(length).read_to_end(&mut bytes)?;
    if bytes.len() as u64 != length {
        return Err(io::ErrorKind::UnexpectedEof.into());
    }
    Ok(Some((kind, bytes)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn messages_arrive_as_they_were_sent() {
        let mut sent = Vec::new();
        send(&mut sent, Kind::Job, b"one").unwrap();
        send(&mut sent, Kind::Page, b"").unwrap();
        let mut from = sent.as_slice();
        assert_eq!(receive(&mut from).unwrap(), Some((Kind::Job, b"one".to_vec())));
        assert_eq!(receive(&mut from).unwrap(), Some((Kind::Page, Vec::new())));
        assert_eq!(receive(&mut from).unwrap(), None);
        let too_long = [&[b'P'][..], &u64::MAX.to_le_bytes()].concat();
        for damaged in [&sent[..5], &sent[..11], b"what", &too_long] {
            assert!(receive(&mut { damaged }).is_err(), "{damaged:?}");
        }
    }
}
