//! Where the program meets people and other programs. The only room that reads or writes files,
//! prints, or knows JSON.

pub mod cli;
mod courses;
mod failure;
mod input;
mod output;
mod together;
mod write;
