//! The only user of disk.
