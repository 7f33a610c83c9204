# find_package(vitalproof) gives vitalproof::headers (header-only, vectorised as the caller's options
# allow) and vitalproof::compiled (the same checks, vector code chosen at run time). A program may use
# both. The headers need Boost.Units and xxhash.h (Debian: libboost-dev, libxxhash-dev).

include(CMakeFindDependencyMacro)
find_dependency(Boost 1.74)
include("${CMAKE_CURRENT_LIST_DIR}/vitalproofTargets.cmake")
