# libxxhash, which brings no CMake package of its own: xxhash::xxhash.

find_path(Xxhash_INCLUDE_DIR xxhash.h)
find_library(Xxhash_LIBRARY xxhash)
mark_as_advanced(Xxhash_INCLUDE_DIR Xxhash_LIBRARY)

include(FindPackageHandleStandardArgs)
find_package_handle_standard_args(Xxhash REQUIRED_VARS Xxhash_LIBRARY Xxhash_INCLUDE_DIR)

if(Xxhash_FOUND AND NOT TARGET xxhash::xxhash)
    add_library(xxhash::xxhash UNKNOWN IMPORTED)
    set_target_properties(xxhash::xxhash PROPERTIES
        IMPORTED_LOCATION "${Xxhash_LIBRARY}"
        INTERFACE_INCLUDE_DIRECTORIES "${Xxhash_INCLUDE_DIR}")
endif()
