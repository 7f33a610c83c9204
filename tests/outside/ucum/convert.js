// Converts by the UCUM reference implementation. Reads a JSON list of
// {value, from, to, molecularWeight?} from standard input, writes a JSON list of numbers.
'use strict';
const { UcumLhcUtils } = require('@lhncbc/ucum-lhc');

const ucum = UcumLhcUtils.getInstance();

function convert({ value, from, to, molecularWeight = null }) {
    const result = ucum.convertUnitTo(from, value, to, { molecularWeight });
    if (result.status !== 'succeeded') {
        throw new Error(`${value} ${from} to ${to}: ${result.msg.join(' ')}`);
    }
    return result.toVal;
}

const asked = JSON.parse(require('fs').readFileSync(0, 'utf8'));
process.stdout.write(JSON.stringify(asked.map(convert)));
