mod broken;
mod job_file;
mod job_file_doc;
mod trade;
