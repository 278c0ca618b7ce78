mod job_file;
