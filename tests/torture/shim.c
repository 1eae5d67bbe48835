/* Preloaded before the program: makes one system call on the files of one folder fail, fall short or
 * end the process. FAULT_ROOT is the folder; FAULT_CALL the call by name; FAULT_AT which of them, from
 * 1; FAULT_HOW the number of the error, `short` or `kill`; FAULT_LOG a file that gets the name of the
 * call when the fault is put in. Without FAULT_CALL it gets the names of all of them, a line each. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>
#include <unistd.h>

static int count = 0;

static int concerns(const char *path) {
  const char *root = getenv("FAULT_ROOT");
  return root != NULL && path != NULL && strncmp(path, root, strlen(root)) == 0;
}

static int concerns_fd(int fd) {
  char link[64], path[4096];
  snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
  ssize_t length = readlink(link, path, sizeof path - 1);
  if (length < 0) return 0;
  path[length] = 0;
  return concerns(path);
}

static void mark(const char *call) {
  int (*open_file)(const char *, int, ...) = dlsym(RTLD_NEXT, "open");
  ssize_t (*write_bytes)(int, const void *, size_t) = dlsym(RTLD_NEXT, "write");
  char line[64];
  int length = snprintf(line, sizeof line, "%s\n", call);
  int fd = open_file(getenv("FAULT_LOG"), O_CREAT | O_WRONLY | O_APPEND, 0666);
  if (fd < 0 || write_bytes(fd, line, length) != length) abort();
  close(fd);
}

/* 0: go on; 1: fail with errno set; 2: fall short. */
static int fault(const char *call) {
  const char *wanted = getenv("FAULT_CALL"), *at = getenv("FAULT_AT"), *how = getenv("FAULT_HOW");
  if (wanted == NULL || at == NULL || how == NULL) {
    if (getenv("FAULT_LOG") != NULL) mark(call);
    return 0;
  }
  if (strcmp(wanted, call) != 0 || ++count != atoi(at)) return 0;
  mark(call);
  if (strcmp(how, "kill") == 0) kill(getpid(), SIGKILL);
  if (strcmp(how, "short") == 0) return 2;
  errno = atoi(how);
  return 1;
}

#define WRITING (O_WRONLY | O_RDWR | O_CREAT | O_APPEND | O_TRUNC)

#define OPEN(name)                                                            \
  int name(const char *path, int flags, ...) {                                \
    int (*real)(const char *, int, ...) = dlsym(RTLD_NEXT, #name);            \
    va_list more;                                                             \
    va_start(more, flags);                                                    \
    mode_t mode = va_arg(more, mode_t);                                       \
    va_end(more);                                                             \
    if ((flags & WRITING) && concerns(path) && fault("open")) return -1;      \
    return real(path, flags, mode);                                           \
  }
OPEN(open)
OPEN(open64)

ssize_t write(int fd, const void *bytes, size_t length) {
  ssize_t (*real)(int, const void *, size_t) = dlsym(RTLD_NEXT, "write");
  if (fd > 2 && concerns_fd(fd)) {
    int how = fault("write");
    if (how == 1) return -1;
    if (how == 2) return real(fd, bytes, length / 2);
  }
  return real(fd, bytes, length);
}

#define ON_FD(name, given, passed)                                            \
  int name given {                                                            \
    int(*real) given = dlsym(RTLD_NEXT, #name);                               \
    if (concerns_fd(fd) && fault(#name)) return -1;                           \
    return real passed;                                                       \
  }
ON_FD(fsync, (int fd), (fd))
ON_FD(ftruncate, (int fd, off_t length), (fd, length))
ON_FD(ftruncate64, (int fd, off_t length), (fd, length))
ON_FD(fchmod, (int fd, mode_t mode), (fd, mode))

#define ON_PATH(name, given, passed)                                          \
  int name given {                                                            \
    int(*real) given = dlsym(RTLD_NEXT, #name);                               \
    if (concerns(path) && fault(#name)) return -1;                            \
    return real passed;                                                       \
  }
ON_PATH(rename, (const char *path, const char *to), (path, to))
ON_PATH(link, (const char *path, const char *to), (path, to))
ON_PATH(unlink, (const char *path), (path))
ON_PATH(mkdir, (const char *path, mode_t mode), (path, mode))
ON_PATH(rmdir, (const char *path), (path))
