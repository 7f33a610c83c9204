# The notices of what the compiled module holds, or what a repaired wheel takes in, as Debian keeps
# them. A wheel built elsewhere has those that are found, and says which are not.

set(debian_parts
    libboost-dev libcli11-dev libfast-float-dev libfmt-dev libhowardhinnant-date-dev
    libpugixml-dev libsimdjson-dev libtomlplusplus-dev libxml2-dev libxxhash-dev
    nlohmann-json3-dev zlib1g-dev
    libicu72 liblzma5  # which libxml2 brings
)
set(no_notice "")
foreach(part IN LISTS debian_parts)
    set(notice "/usr/share/doc/${part}/copyright")
    if(EXISTS "${notice}")
        install(FILES "${notice}" DESTINATION vitalproof/notices RENAME "${part}.txt"
            COMPONENT python)
    else()
        list(APPEND no_notice "${part}")
    endif()
endforeach()

file(GLOB pybind11_notice
    "${pybind11_DIR}/../../../../pybind11-${pybind11_VERSION}.dist-info/licenses/LICENSE")
if(pybind11_notice)
    install(FILES ${pybind11_notice} DESTINATION vitalproof/notices RENAME pybind11.txt
        COMPONENT python)
else()
    list(APPEND no_notice pybind11)
endif()

if(no_notice)
    message(WARNING "No notice found of ${no_notice}: lay them beside a wheel that you hand on")
endif()
