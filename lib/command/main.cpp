// The program: signals, and nothing else.
#include "command/command.hpp"
#include "command/signals.hpp"

int main(int argc, char** argv) {
    return vitalproof::command::run(argc, argv, vitalproof::command::stop_on_signals());
}
