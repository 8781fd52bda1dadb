//! XMP: which way is up.

/// The orientation that an XMP packet states, as some tools write no other.
pub(crate) fn orientation(packet: &[u8]) -> Option<u16> {
    const NAME: &[u8] = b"tiff:Orientation";
    let at = packet.windows(NAME.len()).position(|window| window == NAME)? + NAME.len();
    // Both `tiff:Orientation="6"` and `<tiff:Orientation>6<` have one or two signs in between.
    let digit = packet[at..].iter().take(4).find(|byte| byte.is_ascii_digit())?;
    Some(u16::from(digit - b'0')).filter(|value| (1..=8).contains(value))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_xmp_packet_may_be_the_only_one_to_say() {
        assert_eq!(orientation(b"<x tiff:Orientation=\"3\"/>"), Some(3));
        assert_eq!(orientation(b"<tiff:Orientation>8</tiff:Orientation>"), Some(8));
        assert_eq!(orientation(b"<tiff:Orientation>"), None);
    }
}
