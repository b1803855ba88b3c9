export default { connectToDevTools() {} };
