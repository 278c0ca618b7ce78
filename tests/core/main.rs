mod calendars;
mod net;
mod networks;
mod statistics;
