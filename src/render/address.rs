//! Addresses of pictures in Markdown: of a file beside the text, or with the picture in them.

/// A text as a part of an address: all that is neither an unreserved character (RFC 3986, 2.3) nor `kept` besides is
/// written in percents, byte by byte (2.1).
pub fn percent_encoded(text: &str, kept: impl Fn(char) -> bool) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_ascii_alphanumeric() || matches!(c, '-' | '.' | '_' | '~') || kept(c) {
            out.push(c);
        } else {
            c.encode_utf8(&mut [0; 4]).bytes().for_each(|byte| out.push_str(&format!("%{byte:02X}")));
        }
    }
    out
}

/// The address of a file in the folder of the text. Letters of all alphabets stay readable.
pub(super) fn of_file(name: &str) -> String {
    percent_encoded(name, char::is_alphanumeric)
}

/// The address that holds a picture (RFC 2397).
pub(super) fn of_picture(svg: &str) -> String {
    format!("data:image/svg+xml;base64,{}", base64(svg.as_bytes()))
}

/// RFC 4648, 4.
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for chunk in bytes.chunks(3) {
        let byte = |n: usize| u32::from(chunk.get(n).copied().unwrap_or(0));
        let whole = byte(0) << 16 | byte(1) << 8 | byte(2);
        for n in 0..4_u8 {
            let letter = LETTERS.get((whole >> (18 - 6 * n) & 0x3F) as usize).copied().unwrap_or(b'A');
            out.push(if usize::from(n) <= chunk.len() { char::from(letter) } else { '=' });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4648, 10.
    #[test]
    fn test_vectors() {
        let encoded = ["", "f", "fo", "foo", "foob", "fooba", "foobar"].map(|text| base64(text.as_bytes()));
        assert_eq!(encoded, ["", "Zg==", "Zm8=", "Zm9v", "Zm9vYg==", "Zm9vYmE=", "Zm9vYmFy"]);
    }

    #[test]
    fn names_of_files() {
        assert_eq!(of_file("gate-graph-1.svg"), "gate-graph-1.svg");
        assert_eq!(of_file("Bahn (2)/ä#?.svg"), "Bahn%20%282%29%2Fä%23%3F.svg");
    }
}
