//! Comma-separated values (RFC 4180, but lines end as text lines do).

use std::io::{self, Write};

/// Writes one record.
pub(super) fn record<'f>(out: &mut impl Write, fields: impl IntoIterator<Item = &'f str>) -> io::Result<()> {
    for (index, field) in fields.into_iter().enumerate() {
        if index > 0 {
            out.write_all(b",")?;
        }
        if field.contains([',', '"', '\n', '\r']) {
            write!(out, "\"{}\"", field.replace('"', "\"\""))?;
        } else {
            out.write_all(field.as_bytes())?;
        }
    }
    out.write_all(b"\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_are_quoted_where_they_must_be() {
        let mut out = Vec::new();
        record(&mut out, ["a", "b,c", "d \"e\"", "", "f\ng"]).unwrap();
        assert_eq!(String::from_utf8(out).unwrap(), "a,\"b,c\",\"d \"\"e\"\"\",,\"f\ng\"\n");
    }
}
