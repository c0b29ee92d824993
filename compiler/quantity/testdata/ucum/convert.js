// Reads [[from, value, to], …] from standard input and writes the results of
// the UCUM reference library, each a number or the text of its complaint.
const ucum = require('@lhncbc/ucum-lhc').UcumLhcUtils.getInstance();
const asked = JSON.parse(require('fs').readFileSync(0, 'utf8'));
process.stdout.write(JSON.stringify(asked.map(([from, value, to]) => {
  const got = ucum.convertUnitTo(from, value, to);
  return got.status === 'succeeded' ? got.toVal : `${got.status}: ${got.msg.join(' ')}`;
})));
