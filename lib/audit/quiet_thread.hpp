// A thread that takes no signals: an interrupt must end the reader's wait for input.
// Used wherever an audit works beside the thread that reads. Promises that only the thread it was
// started from takes them.
#pragma once

#include <pthread.h>
#include <signal.h>  // NOLINT: what is of POSIX in it stands in no other

#include <thread>
#include <utility>

namespace vitalproof::audit {

template <class Run>
std::thread start_without_signals(Run run) {
    sigset_t all;
    sigset_t before;
    sigfillset(&all);
    pthread_sigmask(SIG_SETMASK, &all, &before);
    std::thread started(std::move(run));
    pthread_sigmask(SIG_SETMASK, &before, nullptr);
    return started;
}

}  // namespace vitalproof::audit
