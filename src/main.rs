//! Arguments to a face, its result to an exit status.

fn main() {}
