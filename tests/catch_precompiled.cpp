// The one user of the precompiled catch.hpp in vitalproof_test_main, without which nothing would
// build it for the tests.
