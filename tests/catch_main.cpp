// The main of every test: Catch's own, which also fails a case that asserts nothing and a run
// that selects no case. (Catch's command line takes only one of the two.)
#define CATCH_CONFIG_RUNNER
#include <catch2/catch.hpp>

int main(int count, char** words) {
    Catch::Session session;
    using Catch::WarnAbout;
    session.configData().warnings =
        static_cast<WarnAbout::What>(WarnAbout::NoAssertions | WarnAbout::NoTests);
    return session.run(count, words);
}
