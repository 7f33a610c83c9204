# libcsv, a second opinion on delimited text for the tests; it brings no CMake package: libcsv::libcsv.

find_path(Libcsv_INCLUDE_DIR csv.h)
find_library(Libcsv_LIBRARY csv)
mark_as_advanced(Libcsv_INCLUDE_DIR Libcsv_LIBRARY)

include(FindPackageHandleStandardArgs)
find_package_handle_standard_args(Libcsv REQUIRED_VARS Libcsv_LIBRARY Libcsv_INCLUDE_DIR)

if(Libcsv_FOUND AND NOT TARGET libcsv::libcsv)
    add_library(libcsv::libcsv UNKNOWN IMPORTED)
    set_target_properties(libcsv::libcsv PROPERTIES
        IMPORTED_LOCATION "${Libcsv_LIBRARY}"
        INTERFACE_INCLUDE_DIRECTORIES "${Libcsv_INCLUDE_DIR}")
endif()
