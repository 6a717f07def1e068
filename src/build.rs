//! How the program is linked.

/// On Linux with glibc the program is linked to a fixed address.
///
/// A movable program has its 13 000 pointers in constant tables (names of
/// entities, pages of rules, dispatch tables of traits) put right by the
/// loader each time that it starts, which touches 60 pages of memory and takes
/// a fifth of the start. An editor starts it on every save. What a random
/// address of the code would guard against, overwritten pointers, the language
/// rules out here: no line of the package is `unsafe`. Stack, heap and
/// libraries stay at random addresses.
fn main() {
    println!("cargo::rerun-if-changed=src/build.rs");
    let target = |part: &str| std::env::var(format!("CARGO_CFG_TARGET_{part}")).unwrap_or_default();
    let fixed =
        target("OS") == "linux" && target("ENV") == "gnu" && ["x86_64", "aarch64"].contains(&target("ARCH").as_str());
    if fixed {
        println!("cargo::rustc-link-arg-bins=-no-pie");
    }
}
