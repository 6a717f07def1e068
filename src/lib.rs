//! The library behind the program `meniscus`: a Markdown report with measurements in a small
//! inline notation goes in; quantities with propagated uncertainties, findings, and a rendered report
//! with the rationale of every figure come out.
//!
//! The rooms, in the order in which a report passes through them; each uses only those above it:
//!
//! | room | what happens there |
//! |---|---|
//! | [`span`], [`quantity`] | the vocabulary that all share |
//! | [`course`] | what a course decides |
//! | [`locate`] | where an item may stand |
//! | [`parse`] | what an item says |
//! | [`evaluate`] | what the quantities come to |
//! | [`check`] | what a marker would circle |
//! | [`render`] | what a reader sees |
//! | [`report`] | all of it, in order |
//! | [`face`] | commands, files, output |

pub mod check;
pub mod course;
pub mod evaluate;
pub mod face;
pub mod locate;
pub mod parse;
pub mod quantity;
pub mod render;
pub mod report;
pub mod span;
