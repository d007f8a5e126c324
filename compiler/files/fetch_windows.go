package files

// nonblock is nothing here: a pipe has no place among the files.
const nonblock = 0
