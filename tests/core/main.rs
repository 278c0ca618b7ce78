mod oracle;
mod planted;
mod random;
mod simulator;
mod verify;
