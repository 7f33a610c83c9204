# Lets the tree configure while a folder of lib/ has no source yet: an empty one is compiled in
# its stead. Goes away with the last empty folder.
file(WRITE "${CMAKE_CURRENT_BINARY_DIR}/empty.cpp" "")
foreach(room IN ITEMS catalogue read audit write command)
    get_target_property(sources vitalproof_${room} SOURCES)
    if(NOT sources)
        message(STATUS "lib/${room} has no source yet")
        target_sources(vitalproof_${room} PRIVATE "${CMAKE_CURRENT_BINARY_DIR}/empty.cpp")
    endif()
endforeach()
