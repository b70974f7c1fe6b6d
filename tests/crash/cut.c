/* Kills the process before, or in the middle of, its nth change of a file: an injected power cut.

   Preloaded before the C library, it stands between Python, SQLite and the kernel. `cut_arm(n, torn)` begins to count;
   `cut_count()` tells how many changes there were. A torn write brings half of its bytes into the file. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <unistd.h>

static long armed, nth, torn, count;

void cut_arm(long n, long half) { nth = n; torn = half; count = 0; armed = 1; }
long cut_count(void) { return count; }

static void die(void) { kill(getpid(), SIGKILL); for (;;) pause(); }
static int is_due(void) { return armed && __atomic_add_fetch(&count, 1, __ATOMIC_SEQ_CST) == nth; }
static int is_file(int fd) { struct stat s; return fstat(fd, &s) == 0 && (S_ISREG(s.st_mode) || S_ISDIR(s.st_mode)); }
#define REAL(name) ({ static __typeof__(&name) real; if (!real) real = dlsym(RTLD_NEXT, #name); real; })

ssize_t write(int fd, const void *data, size_t size) {
    if (armed && is_file(fd) && is_due()) { if (torn) REAL(write)(fd, data, size / 2); die(); }
    return REAL(write)(fd, data, size);
}
ssize_t pwrite64(int fd, const void *data, size_t size, off64_t at) {
    if (armed && is_file(fd) && is_due()) { if (torn) REAL(pwrite64)(fd, data, size / 2, at); die(); }
    return REAL(pwrite64)(fd, data, size, at);
}
ssize_t pwrite(int fd, const void *data, size_t size, off_t at) { return pwrite64(fd, data, size, at); }
#define CUT(kind, name, parameters, arguments) \
    kind name parameters { if (is_due()) die(); return REAL(name) arguments; }
CUT(int, fsync, (int fd), (fd))
CUT(int, fdatasync, (int fd), (fd))
CUT(int, ftruncate, (int fd, off_t size), (fd, size))
CUT(int, ftruncate64, (int fd, off64_t size), (fd, size))
CUT(int, rename, (const char *from, const char *to), (from, to))
CUT(int, renameat, (int a, const char *from, int b, const char *to), (a, from, b, to))
CUT(int, unlink, (const char *path), (path))
CUT(int, unlinkat, (int at, const char *path, int flags), (at, path, flags))
CUT(int, symlink, (const char *to, const char *path), (to, path))
CUT(int, mkdir, (const char *path, mode_t mode), (path, mode))
#define OPENED(name) \
    int name(const char *path, int flags, ...) { \
        va_list more; va_start(more, flags); mode_t mode = flags & O_CREAT ? va_arg(more, mode_t) : 0; va_end(more); \
        if ((flags & (O_CREAT | O_TRUNC)) && is_due()) die(); \
        return REAL(name)(path, flags, mode); \
    }
OPENED(open)
OPENED(open64)
