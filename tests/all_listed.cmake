# cmake -Dpattern=GLOB -Dlisted=FILES -P all_listed.cmake
# Fails when a file that matches the pattern is missing from the list its folder is built from.

file(GLOB_RECURSE found "${pattern}")
if(NOT found)
    message(FATAL_ERROR "Nothing matches ${pattern}")
endif()
list(REMOVE_ITEM found ${listed})
if(found)
    list(JOIN found "\n  " found)
    message(FATAL_ERROR "Not listed in its CMakeLists.txt:\n  ${found}")
endif()
