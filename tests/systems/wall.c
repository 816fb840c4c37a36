/* The wall clock at another hour, for a whole run of the tests; steady clocks and sleeps stay as they are.

   cc -shared -fPIC -o .cache/wall.so tests/systems/wall.c
   LD_PRELOAD=$PWD/.cache/wall.so WALL_SHIFT=$((`date -ud '2026-12-02 00:02' +%s` - `date +%s`)) .venv/bin/pytest -q -n auto

   WALL_SHIFT: s. Tests whose children get an environment of their own start those by the machine's own clock. */

#define _GNU_SOURCE
#include <stdlib.h>
#include <sys/syscall.h>
#include <sys/time.h>
#include <time.h>
#include <unistd.h>

int clock_gettime(clockid_t clock, struct timespec *at)
{
    int failed = syscall(SYS_clock_gettime, clock, at);
    const char *by = getenv("WALL_SHIFT");
    if (!failed && by && (clock == CLOCK_REALTIME || clock == CLOCK_REALTIME_COARSE))
        at->tv_sec += atoll(by);
    return failed;
}

int gettimeofday(struct timeval *restrict at, void *restrict zone)
{
    struct timespec now;
    (void)zone;
    clock_gettime(CLOCK_REALTIME, &now);
    at->tv_sec = now.tv_sec;
    at->tv_usec = now.tv_nsec / 1000;
    return 0;
}

time_t time(time_t *at)
{
    struct timespec now;
    clock_gettime(CLOCK_REALTIME, &now);
    if (at)
        *at = now.tv_sec;
    return now.tv_sec;
}
