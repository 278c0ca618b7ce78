mod broken;
mod calendars;
mod job_file;
mod job_file_doc;
mod net;
mod networks;
mod statistics;
mod trade;
