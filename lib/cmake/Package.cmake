# What `cmake --install` lays down beside the headers and the library, so that another project finds
# both with find_package(vitalproof).

include(CMakePackageConfigHelpers)

set(package_folder "${CMAKE_INSTALL_LIBDIR}/cmake/vitalproof")
write_basic_package_version_file("${PROJECT_BINARY_DIR}/vitalproofConfigVersion.cmake"
    COMPATIBILITY SameMinorVersion)
install(EXPORT vitalproof NAMESPACE vitalproof:: DESTINATION "${package_folder}"
    FILE vitalproofTargets.cmake)
install(FILES
    "${PROJECT_SOURCE_DIR}/lib/cmake/vitalproofConfig.cmake"
    "${PROJECT_BINARY_DIR}/vitalproofConfigVersion.cmake"
    DESTINATION "${package_folder}")
install(FILES "${PROJECT_SOURCE_DIR}/LICENSE" DESTINATION "${CMAKE_INSTALL_DOCDIR}")
if(TARGET vitalproof)
    install(TARGETS vitalproof)
endif()
