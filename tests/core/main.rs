mod by_hand;
mod oracle;
mod planted;
mod random;
mod simulator;
mod sound;
mod verify;
