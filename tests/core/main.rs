mod net;
mod networks;
