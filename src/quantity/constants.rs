//! Constants of nature (CODATA 2022).
