# What every target of ours is built with: language, visibility, warnings, where things land.

set(CMAKE_CXX_STANDARD 20)
set(CMAKE_CXX_STANDARD_REQUIRED ON)
set(CMAKE_CXX_EXTENSIONS OFF)
set(CMAKE_CXX_VISIBILITY_PRESET hidden)
set(CMAKE_VISIBILITY_INLINES_HIDDEN ON)
set(CMAKE_POSITION_INDEPENDENT_CODE ON)  # the static parts also go into shared bindings

if(PROJECT_IS_TOP_LEVEL)
    set(CMAKE_RUNTIME_OUTPUT_DIRECTORY "${PROJECT_BINARY_DIR}/bin")

    # Precompiled headers and ccache agree only when ccache may overlook the macros in them. Paths
    # below the sources count as relative, so that another build folder, or a copy, finds the same.
    find_program(VITALPROOF_CCACHE ccache)
    mark_as_advanced(VITALPROOF_CCACHE)
    if(VITALPROOF_CCACHE AND NOT DEFINED CMAKE_CXX_COMPILER_LAUNCHER)
        set(CMAKE_CXX_COMPILER_LAUNCHER "${CMAKE_COMMAND}" -E env
            CCACHE_SLOPPINESS=pch_defines,time_macros "CCACHE_BASEDIR=${PROJECT_SOURCE_DIR}"
            "${VITALPROOF_CCACHE}")
    endif()
endif()

# Warnings are errors for us, never for a project that includes ours.
add_library(vitalproof_warnings INTERFACE)
target_compile_options(vitalproof_warnings INTERFACE
    -Wall -Wextra -Wpedantic -Wconversion $<$<BOOL:${PROJECT_IS_TOP_LEVEL}>:-Werror>)

# The interpreter that runs the suites: the one .ci/setup made, so that what the tests need is
# there; any other only when there is none. Found anew at every configure.
if(EXISTS "${PROJECT_SOURCE_DIR}/.venv/bin/python")
    set(VITALPROOF_PYTHON "${PROJECT_SOURCE_DIR}/.venv/bin/python")
else()
    find_program(VITALPROOF_SYSTEM_PYTHON python3)
    mark_as_advanced(VITALPROOF_SYSTEM_PYTHON)
    set(VITALPROOF_PYTHON "${VITALPROOF_SYSTEM_PYTHON}")
endif()
