mod random;
mod simulator;
mod verify;
